package tables_test

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/tables"
)

func on(day string) tables.Clock {
	return func() time.Time {
		t, err := time.Parse(time.DateOnly, day)
		if err != nil {
			panic(err)
		}
		return t
	}
}

// folder is a season of an invented club that differs from 2025-26 in its title.
func folder(title string) fstest.MapFS {
	return fstest.MapFS{"our-club/season.yaml": {Data: []byte("season: our-club\ntitle: " + title +
		"\nextends: 2025-26\nsource: invented\nconfidence: high\nvalid_from: 2031-07-01\nvalid_to: 2032-06-30\n")}}
}

func TestCurrentIsTheTableOfTheDay(t *testing.T) {
	for day, want := range map[string]string{"2026-01-15": "2025-26", "2016-07-01": "2016-17", "2017-06-30": "2016-17"} {
		loaded, err := tables.New(on(day))
		if err != nil {
			t.Fatal(err)
		}
		season, warning, faults := loaded.Season(tables.Current, "")
		if faults != nil || warning != nil || season.Params.Season != want {
			t.Errorf("%s: season %v, warning %v, error %v; want %s", day, season.Params.Season, warning, faults, want)
		}
	}
}

func TestCurrentFallsBackToTheNewestWithAWarning(t *testing.T) {
	loaded, err := tables.New(on("2099-01-01"))
	if err != nil {
		t.Fatal(err)
	}
	season, warning, faults := loaded.Season(tables.Current, "")
	if faults != nil || warning == nil || warning.Code != rules.WarnSeasonNotFound {
		t.Fatalf("season %v, warning %v, error %v", season, warning, faults)
	}
	all := loaded.Catalog().Seasons()
	if newest := all[len(all)-1]; season != newest {
		t.Errorf("%s answers, the newest is %s", season.Params.Season, newest.Params.Season)
	}
}

func TestSeasonFaults(t *testing.T) {
	loaded, err := tables.New(on("2026-01-15"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		key, revision string
		field         string
		reason        rules.Reason
	}{
		{"", "", "season", rules.ReasonFieldRequired},
		{"1998-99", "", "season", rules.ReasonSeasonUnknown},
		{"2016-17", "sha256:00", "revision", tables.ReasonRevisionMismatch},
		{"current", "sha256:00", "revision", tables.ReasonRevisionMismatch},
	} {
		_, _, err := loaded.Season(c.key, c.revision)
		var faults rules.FieldErrors
		if !errors.As(err, &faults) || len(faults) != 1 || faults[0].Field != c.field || faults[0].Reason != c.reason {
			t.Errorf("%q %q: %v", c.key, c.revision, err)
		}
	}
	season, _, faults := loaded.Season("2016-17", "")
	if faults != nil {
		t.Fatal(faults)
	}
	if _, _, err := loaded.Season("2016-17", season.Revision); err != nil {
		t.Errorf("the table's own revision was refused: %v", err)
	}
}

func TestPairTellsBothFaults(t *testing.T) {
	loaded, err := tables.New(on("2026-01-15"))
	if err != nil {
		t.Fatal(err)
	}
	_, _, _, faults := loaded.Pair("1998-99", "")
	if len(faults) != 2 || faults[0].Field != "from" || faults[1].Field != "to" {
		t.Errorf("%v", faults)
	}
}

// A reload takes all tables or none: with a fault the last good ones stay.
func TestReloadIsAllOrNothing(t *testing.T) {
	files := folder("First")
	loaded, err := tables.New(on("2026-01-15"), table.Layer{Name: "club", FS: files})
	if err != nil {
		t.Fatal(err)
	}
	title := func() string {
		t.Helper()
		season, _, err := loaded.Season("our-club", "")
		if err != nil {
			t.Fatal(err)
		}
		return season.Title
	}
	if title() != "First" {
		t.Fatalf("title %q", title())
	}
	files["our-club/season.yaml"] = &fstest.MapFile{Data: []byte("season: our-club\nextends: nowhere\n")}
	err = loaded.Reload()
	if err == nil || !strings.Contains(err.Error(), "club/our-club/season.yaml:2") {
		t.Errorf("the fault has no file and line: %v", err)
	}
	if title() != "First" || loaded.State().Err == nil {
		t.Errorf("title %q, state %v", title(), loaded.State())
	}
	files["our-club/season.yaml"] = folder("Second")["our-club/season.yaml"]
	if err := loaded.Reload(); err != nil {
		t.Fatal(err)
	}
	if title() != "Second" || loaded.State().Err != nil {
		t.Errorf("title %q, state %v", title(), loaded.State())
	}
}

func TestFaultyTablesDoNotStart(t *testing.T) {
	_, err := tables.New(nil, table.Layer{Name: "club", FS: fstest.MapFS{"our-club/season.yaml": {Data: []byte("seeson: x\n")}}})
	if err == nil || !strings.Contains(err.Error(), "seeson") {
		t.Errorf("%v", err)
	}
}
