package rest

import (
	"net/http"
	"strconv"
)

// addRoot serves the root that has signed this server's certificate, as phones take
// one: nothing secret, and of use only to who wants to trust this server.
func addRoot(mux *http.ServeMux, root Root) {
	if len(root.Certificate) == 0 {
		return
	}
	mux.HandleFunc("GET /trust/rinktally.crt", func(w http.ResponseWriter, _ *http.Request) {
		h := w.Header()
		h.Set("Content-Type", "application/x-x509-ca-cert")
		h.Set("Cache-Control", "no-store") // another data folder has another root
		h.Set("Content-Length", strconv.Itoa(len(root.Certificate)))
		_, _ = w.Write(root.Certificate)
	})
}
