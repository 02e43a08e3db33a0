package rest

import (
	"embed"
	"io/fs"
	"net/http"

	"github.com/swaggest/swgui"
	"github.com/swaggest/swgui/v5emb"
)

// web holds the pages: plain files without a build step, that need nothing from
// other sites.
//
//go:embed web
var web embed.FS

// addPages serves the first page, its files, and the page that shows the
// OpenAPI document.
func addPages(mux *http.ServeMux) error {
	files, err := fs.Sub(web, "web")
	if err != nil {
		return err
	}
	page := ownPage(http.FileServerFS(files))
	mux.Handle("GET /{$}", page)
	for _, name := range []string{"style.css", "page.js", "examples.json", "icon.svg"} {
		mux.Handle("GET /"+name, page)
	}
	addEventPages(mux, files)
	addProgramPage(mux, files)
	docs := v5emb.NewHandlerWithConfig(swgui.Config{
		Title: "rinktally", SwaggerJSON: "/openapi.json", BasePath: "/docs/", HideCurl: false,
	})
	// The docs' page has its script, its style and small pictures in itself.
	mux.Handle("GET /docs/", confined(docs, "; script-src 'self' 'unsafe-inline'; style-src 'self' 'unsafe-inline'; img-src 'self' data:"))
	return nil
}

// ownPage serves a page that uses files of this server only.
func ownPage(next http.Handler) http.Handler {
	page := confined(next, "")
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-cache")
		page.ServeHTTP(w, r)
	})
}

// confined lets a page use what comes from this server and nothing else; more
// widens it to what is in the page itself.
func confined(next http.Handler, more string) http.Handler {
	policy := "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'" + more
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", policy)
		next.ServeHTTP(w, r)
	})
}
