package rest_test

import (
	"bytes"
	"net/http"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/rest"
	"github.com/rinktally/rinktally/server/tables"
)

// The list says which season is current, or that none is; a season that is not there
// is the page where nothing is, with a way to the list.
func TestSeasonPages(t *testing.T) {
	autumn := func() time.Time { return time.Date(2026, 11, 30, 12, 0, 0, 0, time.UTC) }
	later, err := tables.New(autumn)
	if err != nil {
		t.Fatal(err)
	}
	const none = "No table of the running season"
	now, ended := serve(t, nil), serve(t, func(o *rest.Options) { o.Tables = later })
	for _, c := range []struct {
		path   string
		ended  bool
		status int
		has    []string
		not    string
	}{
		{"/seasons", false, http.StatusOK, []string{">Current<", `href="seasons/2005-06"`, `href="seasons/compare?from=2024-25&amp;to=2025-26"`, "Senior women", "from memory: "}, none},
		{"/seasons", true, http.StatusOK, []string{">Newest<", none + " is here. The newest, 2025-26,", `href="#own"`}, ">Current<"},
		{"/seasons/2025-26", false, http.StatusOK, []string{"<h1>Season 2025-26</h1>", `data-season="2025-26"`, "compare?from=2024-25&amp;to=2025-26"}, "Nothing is here"},
		{"/seasons/current", false, http.StatusOK, []string{`data-season="2025-26"`}, "Nothing is here"},
		{"/seasons/2005-06", false, http.StatusOK, []string{`data-season="2005-06"`}, "compare?from="},
		{"/seasons/2031-32", false, http.StatusNotFound, []string{"<code>/seasons/2031-32</code>", `href="../seasons"`}, "data-season"},
		{"/seasons/compare", false, http.StatusOK, []string{"<option>2025-26</option><option>2024-25</option>"}, "Nothing is here"},
	} {
		server := now
		if c.ended {
			server = ended
		}
		res, data := ask(t, server, http.MethodGet, c.path, "", "Accept", "text/html")
		if res.StatusCode != c.status {
			t.Errorf("%s: %d", c.path, res.StatusCode)
		}
		for _, want := range c.has {
			if !strings.Contains(string(data), want) {
				t.Errorf("%s has no %q", c.path, want)
			}
		}
		if strings.Contains(string(data), c.not) {
			t.Errorf("%s has %q", c.path, c.not)
		}
	}
}

// Pages that show tables follow them while the server runs; a browser that has the
// page asks whether it is still the one.
func TestSeasonPagesFollowTheTables(t *testing.T) {
	season, err := seasons.FS.ReadFile("2025-26/season.yaml")
	if err != nil {
		t.Fatal(err)
	}
	titled := func(title string) *fstest.MapFile {
		return &fstest.MapFile{Data: bytes.Replace(season, []byte("title: Season 2025-26"), []byte("title: "+title), 1)}
	}
	files := fstest.MapFS{"2025-26/season.yaml": titled("Old title")}
	loaded, err := tables.New(january, table.Layer{Name: "club", FS: files})
	if err != nil {
		t.Fatal(err)
	}
	server := serve(t, func(o *rest.Options) { o.Tables = loaded })
	pages := []string{"/seasons", "/seasons/2025-26", "/seasons/current"}
	tags := map[string]string{}
	for _, path := range pages {
		res, body := ask(t, server, http.MethodGet, path, "")
		tags[path] = res.Header.Get("ETag")
		if !strings.Contains(string(body), "Old title") || tags[path] == "" {
			t.Errorf("%s, tag %q, does not show the table", path, tags[path])
		}
		if res, _ := ask(t, server, http.MethodGet, path, "", "If-None-Match", tags[path]); res.StatusCode != http.StatusNotModified {
			t.Errorf("%s again: %d", path, res.StatusCode)
		}
	}
	files["2025-26/season.yaml"] = titled("New title")
	if err := loaded.Reload(); err != nil {
		t.Fatal(err)
	}
	for _, path := range pages {
		res, body := ask(t, server, http.MethodGet, path, "", "If-None-Match", tags[path])
		if res.StatusCode != http.StatusOK || !strings.Contains(string(body), "New title") {
			t.Errorf("%s after the tables changed: %d", path, res.StatusCode)
		}
	}
}
