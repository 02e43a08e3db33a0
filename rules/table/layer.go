package table

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"
	"sync"

	"github.com/rinktally/rinktally/rules"
)

// Layer is a tree of season folders.
type Layer struct {
	Name string // prefix of file names in faults, such as a directory
	FS   fs.FS
	// Kept says that these are tables that something was decided by before: they are
	// read although an earlier version wrote them, without the keys that this one no
	// longer knows and the sources that it asks for, and with the names of jumps, slots,
	// categories and elements that it refuses.
	Kept bool
}

// pattern is compiled when it is first used: who thaws seasons, such as a page, uses
// none, and compiling them is a tenth of the time until it is ready.
func pattern(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}

var seasonKey = pattern(`^[a-z0-9][a-z0-9-]{0,62}$`)

// keyForm is what a season's key looks like.
const keyForm = "small letters, digits and hyphens, such as 2025-26 or our-club-2026"

// Current is the key by which callers ask for the table of the day, so that no
// season has it.
const Current = "current"

// CheckKey says why a text cannot be the key of a season, or nil.
func CheckKey(key string) error {
	if key == Current {
		return fmt.Errorf("%s asks for the table of the day, so that no season can have this key; want %s", key, keyForm)
	}
	if !seasonKey().MatchString(key) {
		return fmt.Errorf("%s is not a season key: want %s", rules.Quote(key), keyForm)
	}
	return nil
}

// snapshot is what a layer held when it was read: the names in its folders and
// the texts of the files of its tables.
type snapshot struct {
	names map[string][]name // by folder
	texts map[string]text   // by path
}

type name struct {
	text string
	dir  bool
}

type text struct {
	data func() []byte
	err  string // why it could not be read
}

func (s *snapshot) equal(other *snapshot) bool {
	return maps.EqualFunc(s.names, other.names, slices.Equal) &&
		maps.EqualFunc(s.texts, other.texts, func(a, b text) bool {
			return a.err == b.err && (a.err != "" || bytes.Equal(a.data(), b.data()))
		})
}

// readings is how often a layer is read until two readings agree.
const readings = 10

// readLayer reads a layer's folders. A folder that somebody is writing to is not
// taken half: it is read until two readings in a row hold the same bytes.
func readLayer(layer Layer) ([]*folder, rules.TableFaults) {
	_, fixed := layer.FS.(embed.FS) // the program's own files, which cannot change
	s := take(layer.FS, fixed)
	if !fixed {
		agree := false
		for i := 1; i < readings && !agree; i++ {
			again := take(layer.FS, fixed)
			agree = again.equal(s)
			s = again
		}
		if !agree {
			return nil, rules.TableFaults{{File: layer.Name, Message: fmt.Sprintf("is being written: %d readings in a row differ; the tables are read again when it has come to rest", readings)}}
		}
	}
	return s.folders(layer.Name, layer.Kept)
}

// take reads all that a table is made of. A text of fixed files is read when it is first
// asked for: a server that starts needs few of its own.
func take(fsys fs.FS, fixed bool) *snapshot {
	s := &snapshot{names: map[string][]name{}, texts: map[string]text{}}
	for _, e := range s.list(fsys, ".") {
		if !e.dir {
			continue
		}
		for _, in := range s.list(fsys, e.text) {
			if !in.dir && slices.Contains(tableFiles, in.text) {
				file := path.Join(e.text, in.text)
				if fixed {
					s.texts[file] = text{data: sync.OnceValue(func() []byte {
						data, err := fs.ReadFile(fsys, file)
						if err != nil {
							panic(err) // it is part of the program
						}
						return data
					})}
					continue
				}
				data, err := fs.ReadFile(fsys, file)
				read := text{data: func() []byte { return data }}
				if err != nil {
					read.err = err.Error()
				}
				s.texts[file] = read
			}
		}
	}
	return s
}

func (s *snapshot) list(fsys fs.FS, dir string) []name {
	entries, err := fs.ReadDir(fsys, dir)
	if err != nil {
		s.texts[dir] = text{err: err.Error()}
		if errors.Is(err, fs.ErrNotExist) && dir != "." {
			delete(s.texts, dir) // removed since its parent was listed
		}
	}
	for _, e := range entries {
		is := name{text: e.Name(), dir: e.IsDir()}
		if e.Type()&fs.ModeSymlink != 0 {
			if info, err := fs.Stat(fsys, path.Join(dir, e.Name())); err == nil {
				is.dir = info.IsDir()
			}
		}
		s.names[dir] = append(s.names[dir], is)
	}
	return s.names[dir]
}

// folders returns the season folders of a layer, and what is wrong around them.
func (s *snapshot) folders(layer string, kept bool) (found []*folder, faults rules.TableFaults) {
	fault := func(at, format string, args ...any) {
		faults = append(faults, rules.TableFault{File: path.Join(layer, at), Message: fmt.Sprintf(format, args...)})
	}
	if why := s.texts["."]; why.err != "" {
		fault("", "cannot be read: %s", why.err)
	}
	for _, e := range s.names["."] {
		switch {
		case !e.dir && slices.Contains(tableFiles, e.text):
			fault(e.text, "lies beside the season folders and is not read; move it into the folder of its season, KEY/%s", e.text)
		case !e.dir:
		case !slices.Contains(s.names[e.text], name{text: paramsFile}):
			if why := s.texts[e.text]; why.err != "" {
				fault(e.text, "cannot be read: %s", why.err)
			} else if !strings.HasPrefix(e.text, ".") {
				fault(e.text, "is a folder without %s", paramsFile)
			}
		case e.text == Current:
			fault(e.text, "asks for the table of the day, so that no season can have this key; want %s", keyForm)
		case !seasonKey().MatchString(e.text):
			fault(e.text, "is not a season key: want %s", keyForm)
		default:
			f := &folder{key: e.text, name: path.Join(layer, e.text), files: map[string]func() []byte{}, kept: kept}
			s.ignored(e.text, fault)
			for _, file := range tableFiles {
				read, ok := s.texts[path.Join(e.text, file)]
				switch {
				case !ok:
				case read.err != "":
					fault(path.Join(e.text, file), "cannot be read: %s", read.err)
				default:
					f.files[file] = read.data
				}
			}
			found = append(found, f)
		}
	}
	return found, faults
}

// casesFolder is where the golden cases of a season lie. They are read elsewhere.
const casesFolder = "cases"

// ignored reports files that look like parts of a table but are not read, most
// often because of a slip in the name. Copies that editors keep beside a file are
// left alone.
func (s *snapshot) ignored(dir string, fault func(at, format string, args ...any)) {
	names := s.names[dir]
	for _, e := range names {
		small := strings.ToLower(e.text)
		at := path.Join(dir, e.text)
		isTable := slices.Contains([]string{".yaml", ".yml", ".csv"}, path.Ext(small)) ||
			slices.ContainsFunc(tableFiles, func(file string) bool {
				stem, _, _ := strings.Cut(file, ".")
				return strings.HasPrefix(small, stem+".") && !slices.Contains(names, name{text: file})
			})
		switch {
		case e.dir && e.text != casesFolder && rules.Nearest(small, []string{casesFolder}) != "":
			fault(at, "is not read; golden cases lie in a folder %s", casesFolder)
		case !e.dir && isTable && !slices.Contains(tableFiles, e.text):
			fault(at, "is not a file of a season table and is not read; %s", meant(small))
		}
	}
}

// meant names the table file whose name without its ending a file's name resembles,
// and lists them all.
func meant(file string) string {
	list := "allowed are: " + strings.Join(tableFiles, ", ")
	stems := make([]string, len(tableFiles))
	for i, t := range tableFiles {
		stems[i], _, _ = strings.Cut(t, ".")
	}
	stem, _, _ := strings.Cut(file, ".")
	if near := rules.Nearest(stem, stems); near != "" {
		return "did you mean " + tableFiles[slices.Index(stems, near)] + "? " + list
	}
	return list
}
