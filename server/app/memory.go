package app

import (
	"os"
	"runtime/debug"
)

// gcPercent lets the heap grow to five times what lives before it is swept. What
// lives is the tables, some tens of megabytes; every call leaves a few kilobytes
// behind, so that sweeping at twice the heap, Go's own choice, happens many times
// a second under load.
const gcPercent = 400

// SettleMemory makes the program sweep its memory less often than Go does by
// itself, unless the variable GOGC says otherwise.
func SettleMemory() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(gcPercent)
	}
}
