package rest

import (
	"net/http"
	"sync"

	"github.com/rinktally/rinktally/proto/openapi"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/rest/docs"
	"github.com/rinktally/rinktally/server/rest/form"
)

// docsData is what the templates of the pages under /docs/ find.
type docsData struct {
	Book    *docs.Book
	Service *docs.Service // on its page
	Refused string        // an error as it comes, on the page of reasons
	Reasons []docsReason
}

type docsReason struct {
	docs.Reason

	Status int // of HTTP
}

// makeDocs makes the pages that show the OpenAPI document, by their address below
// /docs/: where to begin, a page for each service, and the reasons of errors.
func (s *site) makeDocs() (map[string]http.Handler, error) {
	book, err := docs.Read(openapi.JSON)
	if err != nil {
		return nil, err
	}
	made := map[string]http.Handler{}
	add := func(at, file string, data docsData) {
		data.Book = book
		if err == nil {
			made[at], err = s.make(page{
				at: "/docs/" + at, file: "docs/" + file, also: "docs/contents", styles: []string{"docs/docs.css"}, door: developers, data: data,
			})
		}
	}
	add("", "start", docsData{})
	for _, service := range book.Services {
		add(service.Slug, "service", docsData{Service: service})
	}
	var reasons []docsReason
	for _, r := range book.Reasons {
		refusal := errs.New(pb.ErrorReason_Value(pb.ErrorReason_Value_value[r.Name]), "")
		reasons = append(reasons, docsReason{r, form.HTTPStatus(refusal)})
	}
	add("errors", "errors", docsData{Refused: book.Refused, Reasons: reasons})
	return made, err
}

// addDocs serves the document and the pages of a site that show it. They are made when
// the first of them is asked for: a server that starts has no time for them.
func addDocs(mux *http.ServeMux, s func() *site, origins []string) {
	mux.Handle("GET /openapi.json", cors(origins, newAsset("openapi.json", openapi.JSON)))
	made := sync.OnceValues(func() (map[string]http.Handler, error) { return s().makeDocs() })
	mux.HandleFunc("GET /docs/{page...}", func(w http.ResponseWriter, r *http.Request) {
		pages, err := made()
		if err != nil {
			panic(err) // the same in each test
		}
		if page := pages[r.PathValue("page")]; page != nil {
			page.ServeHTTP(w, r)
			return
		}
		s().nothing(w, r)
	})
	mux.HandleFunc("GET /docs", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Location", "docs/")
		w.WriteHeader(http.StatusMovedPermanently)
	})
}
