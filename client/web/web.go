// Package web is the project for browsers: a typed client of the REST paths and
// the element <rinktally-scoreboard>, as plain ES modules that need no build. The
// server serves them under /embed/.
package web

import "embed"

// Files are the modules.
//
//go:embed *.js
var Files embed.FS
