// Package seasons holds the season tables that ship with the program.
package seasons

import "embed"

// FS has one folder per season with its tables.
//
//go:embed */*.yaml */*.csv
var FS embed.FS
