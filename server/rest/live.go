package rest

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"slices"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/rest/form"
)

// live reports whether a GET shows what changes at any moment: an event, or a book of
// attempts.
func live(r *form.Route) bool {
	return r.Method == http.MethodGet && (slices.Contains(ofEvents, r.Service) || practised(r))
}

// ofEvents are the services whose answers about events change at any moment.
var ofEvents = []string{pb.EventService_ServiceDesc.ServiceName, pb.ScoreboardService_ServiceDesc.ServiceName, pb.CopyService_ServiceDesc.ServiceName}

// practised reports whether a call is about a book of attempts.
func practised(r *form.Route) bool { return r.Service == pb.PracticeService_ServiceDesc.ServiceName }

// liveAnswer holds the answer of such a GET back until it is whole, to tag
// it by its bytes. Whoever has them already is answered so.
type liveAnswer struct {
	http.ResponseWriter

	request *http.Request
	route   *form.Route
	status  int
	data    bytes.Buffer
}

func (l *liveAnswer) WriteHeader(status int) { l.status = status }

func (l *liveAnswer) Write(p []byte) (int, error) { return l.data.Write(p) }

// finish sends the answer.
func (l *liveAnswer) finish() {
	h := l.Header()
	if l.status == 0 {
		l.status = http.StatusOK
	}
	if l.status == http.StatusOK {
		// What somebody saw with a token is for nobody else. Everybody without one gets
		// the same, so a cache in front of the server may hand it on for a second;
		// browsers ask each time.
		keep := "private, no-cache"
		switch {
		case practised(l.route):
			keep = "no-store" // a browser that others use too keeps nothing of a book
		case l.request.Header.Get("Authorization") == "":
			keep = "public, max-age=0, s-maxage=1"
		}
		sum := sha256.Sum256(l.data.Bytes())
		etag := `"` + hex.EncodeToString(sum[:16]) + `"`
		h.Set("Cache-Control", keep)
		h.Set("ETag", etag)
		h.Add("Vary", "Authorization")
		if known(l.request, etag) {
			h.Del("Content-Type")
			h.Del("Content-Length")
			l.ResponseWriter.WriteHeader(http.StatusNotModified)
			return
		}
	}
	l.ResponseWriter.WriteHeader(l.status)
	_, _ = l.ResponseWriter.Write(l.data.Bytes())
}
