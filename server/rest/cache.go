package rest

import (
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"net/url"
	"strings"

	"github.com/rinktally/rinktally/server/tables"
)

// How long an answer may be kept without asking. A season's table changes only
// with a new release of it; what "current" stands for can change overnight.
const (
	keepSeason  = "public, max-age=300"
	keepCurrent = "public, max-age=60"
)

// tag returns the ETag of a GET, and how long its answer may be kept. The answer
// is made by the program's version from the tables and the request, so their
// fingerprint is the answer's.
func tag(version string, t *tables.Tables, r *http.Request, variables map[string]string) (etag, keep string) {
	keep = keepSeason
	hash := sha256.New()
	write := func(parts ...string) {
		for _, p := range parts {
			hash.Write([]byte(p))
			hash.Write([]byte{0})
		}
	}
	write(version, r.URL.EscapedPath(), r.URL.Query().Encode())
	current := func() {
		season, fallback := t.Today()
		write(season.Revision)
		keep = keepCurrent
		if fallback != nil {
			write(fallback.Message) // it names the day
		}
	}
	keys := []string{variables["season"], r.URL.Query().Get("from"), r.URL.Query().Get("to")}
	if strings.Join(keys, "") == "" { // the list of all seasons
		current()
		for _, season := range t.Catalog().Headings() {
			write(season.Revision)
		}
	}
	for _, key := range keys {
		if name, err := url.PathUnescape(key); err == nil {
			key = name
		}
		if key == tables.Current {
			current()
		} else if season, _, err := t.Season(key, ""); err == nil {
			write(season.Revision)
		}
	}
	return `"` + hex.EncodeToString(hash.Sum(nil)[:16]) + `"`, keep
}

// known reports whether a caller has the answer with the tag already.
func known(r *http.Request, etag string) bool {
	for _, have := range strings.Split(r.Header.Get("If-None-Match"), ",") {
		have = strings.TrimPrefix(strings.TrimSpace(have), "W/")
		if have == etag {
			return true
		}
	}
	return false
}
