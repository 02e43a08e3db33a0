package tables

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/rinktally/rinktally/rules/table"
)

// Folder returns the layer of a folder whose folders hold a season each. Its error
// says that there is no such folder, or that it holds one season itself, where the
// folder above is meant.
func Folder(dir string) (table.Layer, error) {
	if _, err := os.ReadDir(dir); err != nil {
		return table.Layer{}, err
	}
	const params = "season.yaml"
	below, err := filepath.Glob(filepath.Join(dir, "*", params))
	if err != nil {
		return table.Layer{}, err
	}
	if _, err := os.Stat(filepath.Join(dir, params)); err == nil && len(below) == 0 {
		return table.Layer{}, fmt.Errorf("%s is the folder of one season; give the folder above it: %s", dir, filepath.Join(dir, ".."))
	}
	return table.Layer{Name: dir, FS: os.DirFS(dir)}, nil
}
