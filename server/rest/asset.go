package rest

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"mime"
	"net/http"
	"path"
	"strconv"
	"sync"
)

// asset is what goes out the same to everybody: a page in one language, or one of
// the files that pages are made of. Browsers ask each time whether theirs is still
// the one.
type asset struct {
	data []byte

	// These are made when they are first asked for.
	kind, tag func() string
	zipped    func() []byte
}

// kinds are media types that a system's own table has otherwise.
var kinds = map[string]string{".ts": "text/plain; charset=utf-8"} // types of TypeScript, which to others is a video

func newAsset(name string, data []byte) asset {
	return asset{
		data: data,
		kind: func() string { return cmp.Or(kinds[path.Ext(name)], mime.TypeByExtension(path.Ext(name))) },
		tag: sync.OnceValue(func() string {
			sum := sha256.Sum256(data)
			return `"` + hex.EncodeToString(sum[:16]) + `"`
		}),
		zipped: sync.OnceValue(func() []byte {
			if zipped, err := compress(data); err == nil && len(zipped) < len(data) {
				return zipped
			}
			return nil
		}),
	}
}

// unchanged says how an asset may be kept, and answers a browser that has it already.
func unchanged(w http.ResponseWriter, r *http.Request, tag string) bool {
	h := w.Header()
	h.Set("Cache-Control", "no-cache")
	h.Set("ETag", tag)
	h.Add("Vary", "Accept-Encoding")
	if known(r, tag) {
		w.WriteHeader(http.StatusNotModified)
		return true
	}
	return false
}

func (a asset) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if unchanged(w, r, a.tag()) {
		return
	}
	h, data := w.Header(), a.data
	if readsGzip(r) {
		if zipped := a.zipped(); zipped != nil {
			data = zipped
			h.Set("Content-Encoding", "gzip")
		}
	}
	h.Set("Content-Type", a.kind())
	h.Set("Content-Length", strconv.Itoa(len(data)))
	_, _ = w.Write(data)
}
