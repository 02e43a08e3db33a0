package rest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"unicode/utf8"

	"rsc.io/qr"

	"github.com/rinktally/rinktally/server/rest/form"
)

// A QR code for the link of a desk: longest is more than any link has, in bytes, quiet
// the white edge that readers need, in modules (ISO/IEC 18004).
const (
	longest = 1024
	quiet   = 4
)

// drawQR draws the text of a request's body as a QR code. The link of a desk has its
// token, so it comes in a body and never in an address, which is kept and logged.
func drawQR(w http.ResponseWriter, r *http.Request) {
	text, err := io.ReadAll(http.MaxBytesReader(w, r.Body, longest))
	if tooLarge := (*http.MaxBytesError)(nil); errors.As(err, &tooLarge) {
		writeError(w, form.TooLarge(longest))
		return
	}
	if err != nil || len(text) == 0 || !utf8.Valid(text) {
		http.Error(w, "send the text for the QR code as UTF-8", http.StatusBadRequest)
		return
	}
	code, err := qr.Encode(string(text), qr.M)
	if err != nil {
		http.Error(w, "the text does not fit into a QR code", http.StatusBadRequest)
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	w.Header().Set("Cache-Control", "no-store")
	_, _ = w.Write(svgOf(code)) // a caller who has left needs none
}

// svgOf draws a QR code black on white, one unit a module. Dark modules beside each
// other are one stroke.
func svgOf(code *qr.Code) []byte {
	var out bytes.Buffer
	side := code.Size + 2*quiet
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" shape-rendering="crispEdges"><rect width="%d" height="%d" fill="#fff"/><path fill="#000" d="`, side, side, side, side)
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			begin := x
			for x < code.Size && code.Black(x, y) {
				x++
			}
			if x > begin {
				fmt.Fprintf(&out, "M%d %dh%dv1h-%dz", begin+quiet, y+quiet, x-begin, x-begin)
			}
		}
	}
	out.WriteString(`"/></svg>`)
	return out.Bytes()
}
