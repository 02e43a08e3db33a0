package rest

import (
	"fmt"
	"io/fs"
	"path"
	"regexp"
)

// imported finds what a module imports, at the beginning of a line as we write it.
var imported = regexp.MustCompile(`(?m)^(?:(?:import|export)\b[^"';]*\bfrom |import )"(\.[^"]+)";`)

// modules lists a module and everything that it imports, by their paths on the
// server, so that a page can load them side by side.
func modules(files fs.FS, first string) ([]string, error) {
	list := []string{first}
	seen := map[string]bool{first: true}
	for i := 0; i < len(list); i++ {
		source, err := fs.ReadFile(files, list[i])
		if err != nil {
			return nil, err
		}
		for _, m := range imported.FindAllSubmatch(source, -1) {
			name := path.Join(path.Dir(list[i]), string(m[1]))
			if !fs.ValidPath(name) {
				return nil, fmt.Errorf("%s imports %s", list[i], m[1])
			}
			if !seen[name] {
				seen[name] = true
				list = append(list, name)
			}
		}
	}
	return list, nil
}
