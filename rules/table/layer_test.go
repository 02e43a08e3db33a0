package table

import (
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
