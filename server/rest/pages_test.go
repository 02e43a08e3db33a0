package rest

import (
	"io/fs"
	"maps"
	"net/http"
	"net/http/httptest"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"go.uber.org/zap"

	"github.com/rinktally/rinktally/server/tables"
)

func ownSite(t *testing.T) *site {
	t.Helper()
	loaded, err := tables.New(time.Now)
	if err != nil {
		t.Fatal(err)
	}
	s, err := newSite(facts{}, loaded)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Every page can be made, in every language: what is wrong with one is found here.
func TestEveryPageIsMade(t *testing.T) {
	s := ownSite(t)
	for _, p := range append(slices.Clone(pages), lost) {
		if p.file == "" {
			continue
		}
		if p.at == "" {
			p.at = "/"
		}
		if _, err := s.make(p); err != nil {
			t.Error(err)
		}
	}
	if _, err := s.makeDocs(); err != nil {
		t.Error(err)
	}
}

// Every word has a place where it is said; that none is missing is checked where the
// pages are made.
func TestEveryWordIsUsed(t *testing.T) {
	s := ownSite(t)
	words := s.languages.catalogs[english]
	used := catalog{}
	inTemplate, quoted := regexp.MustCompile(`\{\{[^}]*\}\}`), regexp.MustCompile(`"([\w.-]+)"`)
	err := fs.WalkDir(s.files, ".", func(name string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		switch path.Ext(name) {
		case ".html":
			source, err := fs.ReadFile(s.files, name)
			for _, action := range inTemplate.FindAll(source, -1) {
				for _, m := range quoted.FindAllSubmatch(action, -1) {
					used[string(m[1])] = true
				}
			}
			return err
		case ".js":
			source, err := fs.ReadFile(s.files, name)
			if err != nil {
				return err
			}
			return words.used(name, source, used)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range doors() {
		used[d.Title()], used[d.Note()] = true, true
		for _, p := range d.Links {
			used[p.Word()] = true
		}
	}
	for _, key := range slices.Sorted(maps.Keys(words)) {
		if used[key] == nil {
			t.Errorf("no page says %s", key)
		}
	}
}

// A key that does not exist is found when the pages are made, in a template and in
// a module.
func TestMissingWordsAreFound(t *testing.T) {
	s := ownSite(t)
	s.files = fstest.MapFS{
		"layout.html": {Data: []byte(`{{template "main" .}}`)},
		"bad.html":    {Data: []byte(`{{define "main"}}{{t "parts.nonsense"}}{{end}}`)},
		"good.html":   {Data: []byte(`{{define "main"}}{{t "parts.yes"}}{{end}}`)},
	}
	s.served = tree{"assets": s.files}
	if _, err := s.make(page{at: "/good", file: "good"}); err != nil {
		t.Error(err)
	}
	if _, err := s.make(page{at: "/bad", file: "bad"}); err == nil || !strings.Contains(err.Error(), `"parts.nonsense"`) {
		t.Errorf("the template's fault is %v", err)
	}
	words := s.languages.catalogs[english]
	for source, want := range map[string]int{
		`t("parts.yes"); t("other.thing")`: 1, "t(`parts.${name}`)": len(words.below("parts.")),
		`t("parts.nonsense")`: -1, "t(`parts.non${sense}`)": -1, `const rows = [["parts.nonsense", 1]];`: -1, `from "./parts.js"`: 0,
	} {
		found := catalog{}
		if err := words.used("a.js", []byte(source), found); (err != nil) != (want < 0) || err == nil && len(found) != want {
			t.Errorf("%s: %v, %v", source, found, err)
		}
	}
}

// below are the words whose keys begin so.
func (c catalog) below(begin string) []string {
	return slices.DeleteFunc(slices.Collect(maps.Keys(c)), func(key string) bool { return !strings.HasPrefix(key, begin) })
}

// A second language is a second file. What it leaves out is said in English; what it
// has too much, or with other parameters, is a fault.
func TestAnotherLanguageIsAFile(t *testing.T) {
	folder := fstest.MapFS{
		"en.json": {Data: []byte(`{"a": {"greeting": "Hello {name}", "bye": "Bye", "marks": {"one": "{n} mark", "other": "{n} marks"}, "kinds": {"spin": "Spins", "other": "Others"}}}`)},
		"nn.json": {Data: []byte(`{"a": {"greeting": "Hei {name}", "marks": {"one": "{n} merke", "other": "{n} merke"}}}`)},
	}
	l, err := readLanguages(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ query, accept, want string }{
		{"", "", "en"}, {"", "nn, en;q=0.5", "nn"}, {"", "en-GB, nn;q=0.5", "en"}, {"", "ja", "en"}, {"?lang=nn", "en", "nn"}, {"?lang=%00", "nn;q=x", "en"},
	} {
		r := httptest.NewRequest(http.MethodGet, "/"+c.query, nil)
		r.Header.Set("Accept-Language", c.accept)
		if got := l.choose(r); got != c.want {
			t.Errorf("%q with %q: %s, want %s", c.query, c.accept, got, c.want)
		}
	}
	for key, want := range map[string]string{"a.greeting": "Hei &lt;Ada&gt;", "a.bye": "Bye", "a.kinds.other": "Others"} {
		if got, err := l.catalogs["nn"].text(key, "name", "<Ada>"); err != nil || string(got) != want {
			t.Errorf("%s: %s, %v", key, got, err)
		}
	}
	for fault, other := range map[string]string{
		"no such key": `{"a": {"new": "x"}}`, "parameters": `{"a": {"greeting": "Hei"}}`, "neither": `{"a": 1}`, "nn.json": `{`,
	} {
		folder["nn.json"] = &fstest.MapFile{Data: []byte(other)}
		if _, err := readLanguages(folder); err == nil || !strings.Contains(err.Error(), fault) {
			t.Errorf("%s: %v", other, err)
		}
	}
}

// The page comes in the language, with the words of its modules.
func TestPageInAnotherLanguage(t *testing.T) {
	s := ownSite(t)
	folder := fstest.MapFS{"nn.json": {Data: []byte(`{"lost": {"title": "Ingenting her"}, "parts": {"no": "Nei"}}`)}}
	data, err := fs.ReadFile(s.files, "words/en.json")
	if err != nil {
		t.Fatal(err)
	}
	folder["en.json"] = &fstest.MapFile{Data: data}
	if s.languages, err = readLanguages(folder); err != nil {
		t.Fatal(err)
	}
	parts, err := s.make(page{at: "/parts", file: "parts/parts"})
	if err != nil {
		t.Fatal(err)
	}
	show := func(h http.Handler, lang string) string {
		r := httptest.NewRequest(http.MethodGet, "/no/such/page", nil)
		r.Header.Set("Accept", "text/html")
		r.Header.Set("Accept-Language", lang)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		return w.Body.String()
	}
	for lang, want := range map[string][2]string{"nn": {"Ingenting her", `"parts.no":"Nei"`}, "en": {"Nothing is here", `"parts.no":"No"`}} {
		if got := show(http.HandlerFunc(s.nothing), lang); !strings.Contains(got, `<html lang="`+lang+`">`) || !strings.Contains(got, want[0]) || !strings.Contains(got, `href="../../assets/style.css"`) {
			t.Errorf("%s: %s", lang, got)
		}
		if got := show(parts, lang); !strings.Contains(got, want[1]) || !strings.Contains(got, `"parts.yes":"Yes"`) || strings.Contains(got, `"lost.title"`) {
			t.Errorf("%s: the words of /parts are %s", lang, got[strings.LastIndex(got, "<script"):])
		}
	}
}

// A request line may name a server without a path.
func TestNothingIsAtNoPath(t *testing.T) {
	r := httptest.NewRequest(http.MethodGet, "http://scores.example", nil)
	r.Header.Set("Accept", "text/html")
	w := httptest.NewRecorder()
	guard(zap.NewNop(), http.NewServeMux(), ownSite(t).nothing).ServeHTTP(w, r)
	if w.Code != http.StatusNotFound || !strings.Contains(w.Body.String(), "Nothing is here") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

// Colours are tokens of style.css: no other sheet and no module has one of its own.
func TestColoursStandInOnePlace(t *testing.T) {
	colour := regexp.MustCompile(`#(?:[0-9a-fA-F]{3,4}|[0-9a-fA-F]{6}|[0-9a-fA-F]{8})\b[^-\w(]|\b(?:rgba?|hsla?|oklch|color)\(`)
	files := ownSite(t).files
	err := fs.WalkDir(files, ".", func(name string, _ fs.DirEntry, err error) error {
		if err != nil || path.Ext(name) != ".css" && path.Ext(name) != ".js" || name == "style.css" {
			return err
		}
		source, err := fs.ReadFile(files, name)
		if found := colour.Find(source); found != nil {
			t.Errorf("%s has the colour %s", name, found)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
