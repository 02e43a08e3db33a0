package rest

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"rsc.io/qr"
)

// The picture has each module of the code where it belongs, with a white edge around.
func TestQRCode(t *testing.T) {
	const link = "https://rink.example/desk/pond-cup/judge#token=rt_pond-cup_invented"
	w := httptest.NewRecorder()
	drawQR(w, httptest.NewRequest(http.MethodPost, "/qr", strings.NewReader(link)))
	if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "image/svg+xml" || w.Header().Get("Cache-Control") != "no-store" {
		t.Fatalf("%d %v", w.Code, w.Header())
	}
	code, err := qr.Encode(link, qr.M)
	if err != nil {
		t.Fatal(err)
	}
	svg := w.Body.String()
	_, path, _ := strings.Cut(svg, ` d="`)
	path, _, _ = strings.Cut(path, `"`)
	drawn := map[[2]int]bool{}
	for stroke := range strings.SplitSeq(strings.Trim(path, "Mz"), "zM") {
		var x, y, wide int
		if n, err := fmt.Sscanf(stroke, "%d %dh%d", &x, &y, &wide); n != 3 {
			t.Fatalf("%q: %v", stroke, err)
		}
		for i := range wide {
			drawn[[2]int{x + i - quiet, y - quiet}] = true
		}
	}
	for y := -quiet; y < code.Size+quiet; y++ {
		for x := -quiet; x < code.Size+quiet; x++ {
			if drawn[[2]int{x, y}] != code.Black(x, y) {
				t.Fatalf("module %d, %d is dark: %v", x, y, !code.Black(x, y))
			}
		}
	}
}

// What is no text for a code is refused, and so is more than any link has.
func TestWrongQRCode(t *testing.T) {
	for body, want := range map[string]int{"": http.StatusBadRequest, "\xff": http.StatusBadRequest, strings.Repeat("x", longest+1): http.StatusRequestEntityTooLarge} {
		w := httptest.NewRecorder()
		drawQR(w, httptest.NewRequest(http.MethodPost, "/qr", strings.NewReader(body)))
		if w.Code != want {
			t.Errorf("%.10q: %d, want %d", body, w.Code, want)
		}
	}
}
