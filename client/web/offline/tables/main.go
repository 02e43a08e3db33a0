// Command tables writes the embedded seasons into a folder as the engine as
// WebAssembly loads them where no server has them for it.
package main

import (
	"log"
	"os"
	"path/filepath"

	"github.com/rinktally/rinktally/server/tables"
)

func main() {
	const readable, reachable = 0o644, 0o755
	if len(os.Args) != 2 { //nolint:mnd // the program and its folder
		log.Fatal("usage: tables FOLDER")
	}
	dir := os.Args[1]
	embedded, err := tables.New(nil)
	if err != nil {
		log.Fatal(err)
	}
	if err := os.MkdirAll(dir, reachable); err != nil { //nolint:gosec // whoever starts the program names the folder
		log.Fatal(err)
	}
	for _, name := range tables.FrozenNames(embedded.Catalog()) {
		data, err := tables.Frozen(embedded.Catalog(), name)
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, name), data, readable) //nolint:gosec // the same
		}
		if err != nil {
			log.Fatal(err)
		}
	}
}
