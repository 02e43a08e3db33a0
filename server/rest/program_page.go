package rest

import (
	"io/fs"
	"net/http"
	"path"
)

// addProgramPage serves the page that checks a program, and its modules.
func addProgramPage(mux *http.ServeMux, files fs.FS) {
	serve := func(pattern string, name func(*http.Request) string) {
		mux.Handle(pattern, ownPage(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			http.ServeFileFS(w, r, files, path.Join("program", name(r)))
		})))
	}
	serve("GET /program", func(*http.Request) string { return "program.html" })
	serve("GET /assets/program/{file}", func(r *http.Request) string { return r.PathValue("file") })
}
