package main

import (
	"bytes"
	"os"
	"testing"
)

// The files that are kept are what the protos give.
func TestFilesAreFresh(t *testing.T) {
	for name, write := range map[string]func() []byte{"contract.js": paths, "contract.d.ts": types} {
		kept, err := os.ReadFile("../" + name)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(kept, write()) {
			t.Errorf(`%s is not what the protos give: run "make generate"`, name)
		}
	}
}
