package rest_test

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/server/rest"
	"github.com/rinktally/rinktally/server/tables"
)

func TestETags(t *testing.T) {
	server := serve(t, nil)
	tags := map[string]string{}
	for _, path := range []string{
		"/v1/seasons", "/v1/seasons/2025-26", "/v1/seasons/2016-17", "/v1/seasons/current",
		"/v1/seasons/2025-26/elements?kind=jump", "/v1/seasons/2025-26/elements?kind=spin",
		"/v1/seasons/2025-26/elements/3Lz", "/v1/seasons/2025-26/elements/3Lz%3C",
		"/v1/seasons:compare?from=2016-17&to=2025-26", "/v1/seasons:compare?from=2017-18&to=2025-26",
	} {
		res, body := ask(t, server, http.MethodGet, path, "")
		tag := res.Header.Get("ETag")
		if res.StatusCode != http.StatusOK || !strings.HasPrefix(tag, `"`) || !strings.HasPrefix(res.Header.Get("Cache-Control"), "public, max-age=") {
			t.Errorf("%s: %d, tag %q, keep %q: %.200s", path, res.StatusCode, tag, res.Header.Get("Cache-Control"), body)
		}
		if other := tags[tag]; other != "" {
			t.Errorf("%s and %s have one tag", path, other)
		}
		tags[tag] = path
		for _, have := range []string{tag, "W/" + tag, `"x", ` + tag} {
			res, body = ask(t, server, http.MethodGet, path, "", "If-None-Match", have)
			if res.StatusCode != http.StatusNotModified || len(body) != 0 || res.Header.Get("ETag") != tag {
				t.Errorf("%s with %s: %d", path, have, res.StatusCode)
			}
		}
		if res, _ = ask(t, server, http.MethodGet, path, "", "If-None-Match", `"other"`); res.StatusCode != http.StatusOK {
			t.Errorf("%s with another tag: %d", path, res.StatusCode)
		}
		if res, body = ask(t, server, http.MethodHead, path, ""); res.StatusCode != http.StatusOK || res.Header.Get("ETag") != tag || len(body) != 0 {
			t.Errorf("HEAD %s: %d", path, res.StatusCode)
		}
	}
	res, _ := ask(t, server, http.MethodGet, "/v1/seasons/1998-99", "")
	if res.Header.Get("ETag") != "" || res.Header.Get("Cache-Control") != "no-store" {
		t.Errorf("an error may be kept: %v", res.Header)
	}
}

// What a changed table changes has another tag, the list of all seasons too; what it
// leaves alone keeps its own.
func TestTagsFollowTheTables(t *testing.T) {
	over := func(layers ...table.Layer) *httptest.Server {
		loaded, err := tables.New(january, layers...)
		if err != nil {
			t.Fatal(err)
		}
		return serve(t, func(o *rest.Options) { o.Tables = loaded })
	}
	tag := func(server *httptest.Server, path string) string {
		res, _ := ask(t, server, http.MethodGet, path, "")
		return res.Header.Get("ETag")
	}
	season, err := seasons.FS.ReadFile("2025-26/season.yaml")
	if err != nil {
		t.Fatal(err)
	}
	old, changed := over(), over(table.Layer{Name: "club", FS: fstest.MapFS{
		"2025-26/season.yaml": {Data: bytes.Replace(season, []byte("title: Season"), []byte("title: Other season"), 1)},
	}})
	for path, changes := range map[string]bool{
		"/v1/seasons": true, "/v1/seasons/2025-26": true, "/v1/seasons/current": true, "/v1/seasons/2025-26/elements/3Lz": true,
		"/v1/seasons:compare?from=2016-17&to=2025-26": true, "/v1/seasons:compare?from=2025-26&to=2016-17": true,
		"/v1/seasons/2016-17": false, "/v1/seasons/2016-17/elements": false, "/v1/seasons:compare?from=2016-17&to=2024-25": false,
	} {
		if before, after := tag(old, path), tag(changed, path); before == "" || (before != after) != changes {
			t.Errorf("%s: tag %s, with a changed table of 2025-26 %s", path, before, after)
		}
	}
}
