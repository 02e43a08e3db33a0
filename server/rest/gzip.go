package rest

import (
	"bytes"
	"compress/gzip"
	"net/http"
	"strconv"
	"strings"

	"github.com/rinktally/rinktally/server/kept"
)

// maxZipped is how many compressed answers are kept; one is about 30 kB.
const maxZipped = 16

// zippedAnswer holds an answer back until it is whole, to send it compressed. It is
// compressed once for each ETag. The tag is that of the plain form: the one thing
// that would need different tags, a part of an answer, is not served.
type zippedAnswer struct {
	http.ResponseWriter

	etag   string
	kept   *kept.Answers[string, []byte]
	status int
	data   []byte
}

func (z *zippedAnswer) WriteHeader(status int) { z.status = status }

// Write does not copy what comes in one piece, since it is not changed here and is
// sent before the handler's end.
func (z *zippedAnswer) Write(p []byte) (int, error) {
	if z.data == nil {
		z.data = p[:len(p):len(p)]
	} else {
		z.data = append(z.data, p...)
	}
	return len(p), nil
}

// finish sends the answer; errors as they are.
func (z *zippedAnswer) finish() {
	h, data := z.Header(), z.data
	if z.status == 0 || z.status == http.StatusOK {
		zipped, err := z.kept.Get(z.etag, func() ([]byte, error) { return compress(data) })
		if err == nil {
			data = zipped
			h.Set("Content-Encoding", "gzip")
			h.Set("Content-Length", strconv.Itoa(len(data)))
		}
	}
	if z.status != 0 {
		z.ResponseWriter.WriteHeader(z.status)
	}
	_, _ = z.ResponseWriter.Write(data)
}

func compress(data []byte) ([]byte, error) {
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	err := w.Close()
	return out.Bytes(), err
}

// readsGzip reports whether the caller reads answers that are compressed so.
func readsGzip(r *http.Request) bool { return reads(r, "gzip") }

func reads(r *http.Request, wanted string) bool {
	for _, part := range strings.Split(strings.Join(r.Header.Values("Accept-Encoding"), ","), ",") {
		coding, weight, _ := strings.Cut(part, ";")
		coding = strings.ToLower(strings.TrimSpace(coding))
		if coding != wanted && coding != "*" {
			continue
		}
		_, q, _ := strings.Cut(weight, "=")
		n, err := strconv.ParseFloat(strings.TrimSpace(q), 64)
		return q == "" || err == nil && n > 0
	}
	return false
}
