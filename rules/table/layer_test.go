package table

import (
	"errors"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
)

// writing is a folder of tables that somebody writes to: whenever season.yaml is
// opened, another draft of singles.csv is put beside it, as often as there are
// drafts.
type writing struct {
	fstest.MapFS
	drafts []string
}

func (w *writing) Open(name string) (fs.File, error) {
	f, err := w.MapFS.Open(name)
	if strings.HasSuffix(name, "/season.yaml") && len(w.drafts) > 0 {
		w.MapFS["base/singles.csv"] = &fstest.MapFile{Data: []byte(w.drafts[0])}
		w.drafts = w.drafts[1:]
	}
	return f, err
}

// ReadFile hides the one of MapFS, so that files are opened.
func (w *writing) ReadFile(name string) ([]byte, error) {
	return fs.ReadFile(struct{ fs.FS }{w}, name)
}

func draft(lutz string) string { return "# our own values\ncode,base_value\n3Lz," + lutz + "\n" }

// A table is compiled only from bytes that two readings in a row agree in: while
// somebody is writing, no mixture of two drafts is served.
func TestNoTornTable(t *testing.T) {
	folder := func(drafts ...string) Layer {
		files := fstest.MapFS{"base/season.yaml": {Data: []byte(base)}, "base/singles.csv": {Data: []byte(draft("1.00"))}}
		return Layer{Name: "club", FS: &writing{files, drafts}}
	}
	c, err := Load(folder(draft("2.00"), draft("3.00"), draft("4.00")))
	if err != nil {
		t.Fatal(err)
	}
	s, err := c.Season("base")
	if err != nil {
		t.Fatal(err)
	}
	if row, _ := s.Table("singles").Find("3Lz"); row == nil || row.Base != 400 {
		t.Errorf("3Lz is %+v, want the draft that stayed", row)
	}

	var restless []string
	for i := range 3 * readings {
		restless = append(restless, draft(strings.Repeat("1", 1+i%3)+".00"))
	}
	if _, err := Load(folder(restless...)); err == nil || !strings.Contains(err.Error(), "club: is being written: 10 readings in a row differ") {
		t.Errorf("a folder that does not come to rest: %v", err)
	}
}

func TestCheckKey(t *testing.T) {
	for key, ok := range map[string]bool{"2026-27": true, "our-club-2026": true, "Birch Pond": false, "-a": false, "": false, "current": false} {
		if err := CheckKey(key); (err == nil) != ok {
			t.Errorf("%q: %v", key, err)
		}
	}
}

// Folders and files may be links; what cannot be read is a fault with its path.
func TestLinksAndWhatCannotBeRead(t *testing.T) {
	link := func(to string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(to), Mode: fs.ModeSymlink} }
	c, err := Load(Layer{Name: "club", FS: fstest.MapFS{
		".store/base/season.yaml": {Data: []byte(strings.Replace(base, "season: base", "season: linked", 1))},
		".store/values.csv":       {Data: []byte(draft("1.00"))},
		"linked":                  link(".store/base"),
		".store/base/singles.csv": link("../values.csv"),
	}})
	if err != nil {
		t.Fatal(err)
	}
	if s, err := c.Season("linked"); err != nil || s.Table("singles").Row("3Lz", "") == nil {
		t.Errorf("a linked folder with a linked file: %v", err)
	}
	files := fstest.MapFS{"base/season.yaml": {Data: []byte(base)}, "base/singles.csv": {Data: []byte(draft("1.00"))}, "base/pairs.csv": link("gone.csv")}
	for deny, want := range map[string][]string{
		"":                 {"club/base/pairs.csv: cannot be read: "},
		"base/singles.csv": {"club/base/pairs.csv: cannot be read: ", "club/base/singles.csv: cannot be read: "},
		"base":             {"club/base: cannot be read: "},
		".":                {"club: cannot be read: "},
	} {
		_, err := Load(Layer{Name: "club", FS: denying{files, deny}})
		for _, w := range want {
			if err == nil || !strings.Contains(err.Error(), w) {
				t.Errorf("without leave to read %s: %v, want %s", deny, err, w)
			}
		}
	}
}

// denying is a tree in which a path may not be read.
type denying struct {
	fs.FS
	path string
}

func (d denying) Open(name string) (fs.File, error) {
	if name == d.path {
		return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New("permission denied")}
	}
	return d.FS.Open(name)
}

// A folder that is removed while it is read is gone, not half there.
func TestFolderRemovedWhileRead(t *testing.T) {
	files := fstest.MapFS{"base/season.yaml": {Data: []byte(base)}, "base/singles.csv": {Data: []byte(draft("1.00"))}, "other/season.yaml": {Data: []byte(strings.Replace(base, "season: base", "season: other", 1))}}
	c, err := Load(Layer{Name: "club", FS: removing{files}})
	if err != nil {
		t.Fatal(err)
	}
	if keys := c.Keys(); len(keys) != 1 || keys[0] != "other" {
		t.Errorf("the seasons are %v, want other alone", keys)
	}
}

// removing is a tree whose folder base is removed when a file of it is opened.
type removing struct{ files fstest.MapFS }

func (r removing) Open(name string) (fs.File, error) {
	f, err := r.files.Open(name)
	if strings.HasPrefix(name, "base/") {
		delete(r.files, "base/season.yaml")
		delete(r.files, "base/singles.csv")
	}
	return f, err
}
