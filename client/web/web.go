// Package web is the project for browsers: a typed client of the REST paths, the
// element <rinktally-scoreboard> and the engine as WebAssembly, as plain ES modules
// that need no build. The server serves them under /embed/.
package web

import (
	"embed"
	"io/fs"
)

// Files are the modules, each with its types.
//
//go:embed *.js *.d.ts offline/*.js offline/*.d.ts
var Files embed.FS

//go:embed all:offline/built
var built embed.FS

// Engine is what "make wasm" has built: rinktally.wasm.gz, perhaps rinktally.wasm.br,
// and wasm_exec.js of the compiler. Without it the folder is empty and pages ask the
// server.
func Engine() fs.FS {
	files, err := fs.Sub(built, "offline/built")
	if err != nil {
		panic(err) // the name is a valid path
	}
	return files
}
