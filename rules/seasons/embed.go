// Package seasons holds the season tables that ship with the program.
package seasons

import "embed"

// FS has one folder per season with its tables and golden cases.
//
//go:embed */*.yaml */*.csv */cases/*.yaml
var FS embed.FS
