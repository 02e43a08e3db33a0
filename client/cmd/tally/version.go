package main

import "runtime/debug"

// version is the module's version as Go recorded it in the program.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "(unknown)"
}
