package tables

import (
	"errors"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules/table"
)

// What was read while somebody wrote is not served: the tables in use stay, and the
// state says why.
func TestReloadWaitsForTheFolderToRest(t *testing.T) {
	files := fstest.MapFS{"our-club/season.yaml": {Data: []byte("season: our-club\ntitle: First\nextends: 2025-26\nsource: invented\n")}}
	loaded, err := New(nil, table.Layer{Name: "club", FS: files})
	if err != nil {
		t.Fatal(err)
	}
	files["our-club/season.yaml"] = &fstest.MapFile{Data: []byte("season: our-club\ntitle: Second\nextends: 2025-26\nsource: invented\n")}
	title := func() string {
		s, _, err := loaded.Season("our-club", "")
		if err != nil {
			t.Fatal(err)
		}
		return s.Title
	}
	if err := loaded.reload(func() bool { return false }); !errors.Is(err, errWriting) || title() != "First" {
		t.Errorf("while it is written: %v, %s", err, title())
	}
	if err := loaded.Reload(); err != nil || title() != "Second" {
		t.Errorf("at rest: %v, %s", err, title())
	}
}
