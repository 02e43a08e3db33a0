package rest

import (
	"io/fs"
	"net/http"
	"path"

	clientweb "github.com/rinktally/rinktally/client/web"
	"github.com/rinktally/rinktally/server/rest/form"
)

// addEventPages serves the pages of events and what they are made of: boards for
// everybody, desks for the panel, and the modules that other sites may embed. The
// pages are the same for every event; their modules read it from the address.
func addEventPages(mux *http.ServeMux, files fs.FS) {
	for pattern, name := range map[string]string{
		"GET /events":                 "list.html",
		"GET /events/{event}":         "board.html",
		"GET /desk":                   "new.html",
		"GET /desk/{event}":           "desk.html",
		"GET /desk/{event}/organiser": "organiser.html",
		"GET /desk/{event}/technical": "technical.html",
		"GET /desk/{event}/judge":     "judge.html",
		"GET /desk/{event}/referee":   "referee.html",
		"GET /assets/events/{file}":   "",
	} {
		mux.Handle(pattern, ownPage(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			file := name
			if file == "" {
				file = r.PathValue("file")
			}
			http.ServeFileFS(w, r, files, path.Join("events", file)) //nolint:gosec // embedded files, all of them public
		})))
	}
	embed := http.StripPrefix("/embed/", http.FileServerFS(clientweb.Files))
	mux.HandleFunc("GET /embed/{file}", func(w http.ResponseWriter, r *http.Request) {
		if _, err := fs.Stat(clientweb.Files, r.PathValue("file")); err != nil {
			writeError(w, form.NotFound(r.URL.Path))
			return
		}
		// Modules are fetched with CORS, by any site that shows a board. They are the
		// same for everybody.
		w.Header().Set("Access-Control-Allow-Origin", "*")
		w.Header().Set("Cache-Control", "no-cache")
		embed.ServeHTTP(w, r)
	})
}
