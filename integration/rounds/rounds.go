// Package rounds says how often a test does what it does at random.
package rounds

import (
	"os"
	"strconv"
	"testing"
)

// Of returns the number that an environment variable holds, at least 1, or without the
// variable so many as the test command has time for.
func Of(t testing.TB, variable string, otherwise int) int {
	t.Helper()
	text := os.Getenv(variable)
	if text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		t.Fatalf("%s is %q; allowed: a number from 1", variable, text)
	}
	return n
}
