package rest

import (
	"net/http/httptest"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// Who must show a token is answered what kind, as RFC 9110, 15.5.2 asks.
func TestUnauthenticatedNamesItsScheme(t *testing.T) {
	for reason, want := range map[pb.ErrorReason_Value]string{
		pb.ErrorReason_UNAUTHENTICATED: "Bearer", pb.ErrorReason_PERMISSION_DENIED: "", pb.ErrorReason_NOT_FOUND: "",
	} {
		w := httptest.NewRecorder()
		writeError(w, errs.New(reason, "no"))
		if got := w.Header().Get("WWW-Authenticate"); got != want {
			t.Errorf("%v: %d with %q, want %q", reason, w.Code, got, want)
		}
	}
}
