package rest

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"strings"
	"sync"

	clientweb "github.com/rinktally/rinktally/client/web"
	"github.com/rinktally/rinktally/server/kept"
	"github.com/rinktally/rinktally/server/rest/form"
	"github.com/rinktally/rinktally/server/tables"
)

// web holds what pages are made of: plain files without a build step, that need
// nothing from other sites.
//
//go:embed web
var web embed.FS

// page is one page: a template of web that fills the layout, and the module of the
// same name where there is one.
type page struct {
	at     string   // pattern of its address
	file   string   // "program/program" is program/program.html, with program/program.js; "" = made elsewhere
	styles []string // beside style.css
	door   string   // what it belongs to: a door of the first page, and a way about
	link   string   // the word that leads to it from there; "" = nothing does
	bare   bool     // without the header
	desk   bool     // fills the screen
	also   string   // a template that it shares with others
	data   any      // what it shows beside words ...
	shows  shows    // ... or what of the tables
}

// The doors of the first page.
const (
	rink       = "rink"
	atEvent    = "event"
	developers = "developers"
)

// pages are all pages, in the order of the links that lead to them.
var pages = []page{
	{at: "/", file: "home", styles: []string{"home.css"}, bare: true},
	{at: "/count", file: "count/count", styles: []string{"count/count.css"}, door: rink, link: "nav.count"},
	{at: "/practice", file: "practice/practice", styles: []string{"practice/practice.css"}, door: rink, link: "nav.practice"},
	{at: "/plan", file: "plan/plan", styles: []string{"plan/plan.css"}, door: rink, link: "nav.plan"},
	{at: "/program", file: "program/program", styles: []string{"program/program.css"}, door: rink, link: "nav.program"},
	{at: "/trust", file: "trust/trust", styles: []string{"trust/trust.css"}, door: rink},
	{at: "/events", file: "events/list", styles: events, door: atEvent, link: "nav.scoreboard"},
	{at: "/events/{event}", file: "events/board", styles: board, door: atEvent},
	{at: "/desk", file: "events/new", styles: desks, door: atEvent, link: "nav.run"},
	{at: "/desk/{event}", file: "events/desks", styles: events, door: atEvent},
	{at: "/desk/{event}/organiser", file: "events/organiser", styles: organiser, door: atEvent, desk: true},
	{at: "/desk/{event}/technical", file: "events/technical", styles: desks, door: atEvent, desk: true},
	{at: "/desk/{event}/judge", file: "events/judge", styles: desks, door: atEvent, desk: true},
	{at: "/desk/{event}/referee", file: "events/referee", styles: append(desks[:len(desks):len(desks)], "events/referee.css"), door: atEvent, desk: true},
	{at: "/desk/{event}/paper", file: "events/paper", styles: append(desks[:len(desks):len(desks)], "events/paper.css"), door: atEvent, desk: true},
	{at: "/desk/{event}/announcer", file: "events/announcer", styles: append(desks[:len(desks):len(desks)], "events/announcer.css"), door: atEvent, desk: true},
	{at: "/docs/", door: developers, link: "nav.docs"}, // docs.go makes it when it is asked for
	{at: "/developers", file: "developers/developers", also: "developers/guide", styles: []string{"developers/developers.css"}, door: developers, link: "nav.developers"},
	{at: "/seasons", file: "seasons/list", styles: seasons, door: developers, link: "nav.seasons", shows: allSeasons},
	{at: "/seasons/{season}", file: "seasons/season", styles: seasons, door: developers, shows: oneSeason},
	{at: "/seasons/compare", file: "seasons/compare", styles: seasons, door: developers, link: "nav.compare", shows: seasonNames},
	{at: "/parts", file: "parts/parts", styles: []string{"parts/parts.css"}, door: atEvent}, // every part once, for whoever makes a page
}

var (
	events    = []string{"events/events.css"}
	board     = []string{"events/events.css", "events/hall.css"}
	desks     = []string{"events/events.css", "events/desk.css"}
	organiser = []string{"events/events.css", "events/desk.css", "events/organiser.css"}
	seasons   = []string{"seasons/seasons.css"}
)

// lost is the page at an address where nothing is.
var lost = page{file: "lost"}

// limits are how much a caller may send, and what is kept for one that comes back.
type limits struct{ Items, Deep, Body, Batch, Kept int }

// facts are what pages say about this server.
type facts struct {
	Version string
	Since   string // the year of its first season
	Engine  bool   // whether pages find the engine as WebAssembly here
	Trust   string // fingerprint of the root that phones can install; "" = there is none
	limits
}

// site makes pages, in each language.
type site struct {
	facts

	files     fs.FS // of web
	served    fs.FS // what is served, by path: "assets/style.css"
	languages *languages
	assets    map[string]asset // of served
	tables    *tables.Tables
	shown     *kept.Answers[string, asset] // pages that show tables
}

// addPages serves the pages, their files, and the modules that other sites may embed. The
// site and each page are made when they are first asked for: a server that starts has no
// time for them.
func addPages(mux *http.ServeMux, here facts, t *tables.Tables) func() *site {
	made := sync.OnceValue(func() *site {
		s, err := newSite(here, t)
		if err != nil {
			panic(err) // the same in each test
		}
		return s
	})
	for _, p := range pages {
		if p.file == "" {
			continue
		}
		filled := sync.OnceValues(func() (http.Handler, error) { return made().make(p) })
		mux.HandleFunc("GET "+exactly(p.at), func(w http.ResponseWriter, r *http.Request) {
			page, err := filled()
			if err != nil {
				panic(err) // the same in each test
			}
			page.ServeHTTP(w, r)
		})
	}
	mux.HandleFunc("POST /qr", drawQR)
	file := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { made().file(w, r) })
	mux.Handle("GET /assets/{file...}", confined(file))
	// Modules are fetched with CORS, by any site that shows a board.
	mux.Handle("GET /embed/{file...}", everywhere(file))
	return made
}

// exactly is the pattern of an address and nothing below it.
func exactly(at string) string {
	if strings.HasSuffix(at, "/") {
		return at + "{$}"
	}
	return at
}

func newSite(here facts, t *tables.Tables) (*site, error) {
	files, err := fs.Sub(web, "web")
	if err != nil {
		return nil, err
	}
	folder, err := fs.Sub(files, "words")
	if err != nil {
		return nil, err
	}
	s := &site{
		facts: here, files: files, assets: map[string]asset{}, served: tree{"assets": files, "embed": clientweb.Files},
		tables: t, shown: kept.New[string, asset](maxShown),
	}
	if s.languages, err = readLanguages(folder); err != nil {
		return nil, err
	}
	for root, files := range s.served.(tree) {
		err := fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
			if name == "words" { // come with the pages
				return fs.SkipDir
			}
			if err != nil || entry.IsDir() || path.Ext(name) == ".html" {
				return err
			}
			data, err := fs.ReadFile(files, name)
			if err != nil {
				return err
			}
			s.assets[path.Join(root, name)] = newAsset(name, data)
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	return s, nil
}

// tree puts file systems side by side, each below a name.
type tree map[string]fs.FS

// Open opens a file.
func (t tree) Open(name string) (fs.File, error) {
	root, rest, _ := strings.Cut(name, "/")
	files, ok := t[root]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return files.Open(rest)
}

// A page that opens again without a network has a worker that keeps it: keeper, which
// may see what all pages here ask for, since the engine has an address apart.
const keeper, keeps = "/assets/count/worker.js", "../../"

// file serves a file by its address.
func (s *site) file(w http.ResponseWriter, r *http.Request) {
	if a, ok := s.assets[strings.TrimPrefix(r.URL.Path, "/")]; ok {
		if r.URL.Path == keeper {
			w.Header().Set("Service-Worker-Allowed", keeps)
		}
		a.ServeHTTP(w, r)
		return
	}
	s.nothing(w, r)
}

// layout is what a template of a page finds.
type layout struct {
	facts

	Lang    string
	Root    string // the way from the page to "/", so that a server may stand below another's path
	Door    string
	Bare    bool
	Desk    bool
	At      string   // pattern of the address
	Styles  []string // of web
	Script  string   // the page's module, by its path on the server
	Modules []string // what it imports
	Words   catalog  // what they say
	Doors   []door   // all links of the first page
	Path    string   // of the request, on the page where nothing is
	Data    any      // what the page shows beside words
}

// door is a group of links to pages.
type door struct {
	Name  string
	Links []page
}

// Title and Note are the words over the links.
func (d door) Title() string { return "home." + d.Name }
func (d door) Note() string  { return "home." + d.Name + "Note" }

// Way and Word are the link to a page.
func (p page) Way() string  { return strings.TrimPrefix(p.at, "/") }
func (p page) Word() string { return p.link }

// Is reports whether the page stands at an address.
func (p page) Is(at string) bool { return p.at == at }

// doors are the links to pages.
func doors() []door {
	var list []door
	for _, name := range []string{rink, atEvent, developers} {
		links := slices.DeleteFunc(slices.Clone(pages), func(p page) bool { return p.door != name || p.link == "" })
		if len(links) > 0 {
			list = append(list, door{name, links})
		}
	}
	return list
}

// Is reports whether the page stands at an address.
func (l layout) Is(at string) bool { return l.At == at }

// Here are the links of the page's own door.
func (l layout) Here() []page {
	for _, d := range l.Doors {
		if d.Name == l.Door {
			return d.Links
		}
	}
	return nil
}

// make renders a page in every language. One that shows tables is rendered again
// when they change.
func (s *site) make(p page) (http.Handler, error) {
	if p.shows != nil {
		_, show, _ := p.shows(s.tables, tables.Current)
		p.data = show()
	}
	made := map[string]asset{}
	for _, lang := range s.languages.names {
		var err error
		if made[lang], err = s.made(p, lang); err != nil {
			return nil, err
		}
	}
	if p.shows != nil {
		return s.changing(p), nil
	}
	return confined(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Add("Vary", "Accept-Language")
		made[s.languages.choose(r)].ServeHTTP(w, r)
	})), nil
}

// made is a page in one language.
func (s *site) made(p page, lang string) (asset, error) {
	var out bytes.Buffer
	err := s.render(&out, p, layout{Lang: lang, Root: strings.Repeat("../", strings.Count(p.at, "/")-1), At: p.at})
	if err != nil {
		return asset{}, fmt.Errorf("page %s in %s: %w", p.at, lang, err)
	}
	return newAsset(".html", out.Bytes()), nil
}

// render fills the layout with a page.
func (s *site) render(out *bytes.Buffer, p page, l layout) error {
	words := s.languages.catalogs[l.Lang]
	parts := []string{"layout.html", p.file + ".html"}
	if p.also != "" {
		parts = append(parts, p.also+".html")
	}
	pattern, err := template.New("layout.html").Funcs(words.markup()).ParseFS(s.files, parts...)
	if err != nil {
		return err
	}
	l.facts = s.facts
	l.Door, l.Bare, l.Desk, l.Styles, l.Words, l.Doors, l.Data = p.door, p.bare, p.desk, p.styles, catalog{}, doors(), p.data
	script := path.Join("assets", p.file+".js")
	if _, err := fs.Stat(s.served, script); err == nil {
		all, err := modules(s.served, script)
		if err != nil {
			return err
		}
		for _, name := range all {
			source, err := fs.ReadFile(s.served, name)
			if err != nil {
				return err
			}
			if err := words.used(name, source, l.Words); err != nil {
				return err
			}
		}
		l.Script, l.Modules = all[0], all[1:]
	}
	return pattern.Execute(out, l)
}

// deepest is how far down an address can be for links that lead up by steps.
const deepest = 16

// nothing answers an address where nothing is: people with a page, programs with
// the error.
func (s *site) nothing(w http.ResponseWriter, r *http.Request) {
	if (r.Method != http.MethodGet && r.Method != http.MethodHead) || !strings.Contains(r.Header.Get("Accept"), "text/html") {
		writeError(w, form.NotFound(r.URL.Path))
		return
	}
	var out bytes.Buffer
	root := "/"
	if deep := strings.Count(r.URL.Path, "/"); deep <= deepest {
		root = strings.Repeat("../", max(deep-1, 0)) // a request line may name a server alone
	}
	if err := s.render(&out, lost, layout{Lang: s.languages.choose(r), Root: root, Path: r.URL.Path}); err != nil {
		panic(err) // the same in each test
	}
	confined(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		h := w.Header()
		h.Del("ETag")
		h.Set("Cache-Control", "no-store")
		h.Set("Content-Type", "text/html; charset=utf-8")
		w.WriteHeader(http.StatusNotFound)
		_, _ = w.Write(out.Bytes())
	})).ServeHTTP(w, r)
}

// confined lets a page use what comes from this server and nothing else, nor what is
// in the page itself. It may compile the engine, and show a film of the person's own.
func confined(next http.Handler) http.Handler {
	const policy = "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; script-src 'self' 'wasm-unsafe-eval'; media-src 'self' blob:"
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", policy)
		next.ServeHTTP(w, r)
	})
}
