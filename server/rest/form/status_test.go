package form_test

import (
	"strings"
	"testing"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"github.com/rinktally/rinktally/server/rest/form"
)

// Every code of gRPC has the status of HTTP that the gateway has for it.
func TestHTTPStatus(t *testing.T) {
	for code := codes.Canceled; code <= codes.Unauthenticated; code++ {
		if got, want := form.HTTPStatus(status.Error(code, "")), runtime.HTTPStatusFromCode(code); got != want {
			t.Errorf("%s: %d, want %d", code, got, want)
		}
	}
}

// A path is shown as all that a caller sends: cut between characters, without a token.
func TestNotFoundShowsThePath(t *testing.T) {
	token := "rt_spring-cup_" + strings.Repeat("a", 43)
	for path, want := range map[string]string{"/v1/nothing": "at /v1/nothing;", "/" + strings.Repeat("é", 100): "é…;", "/" + token: "(a token);"} {
		if err := form.NotFound(path); !strings.Contains(err.Error(), want) || strings.ContainsRune(err.Error(), '\ufffd') || strings.Contains(err.Error(), token) {
			t.Errorf("%q: %v", path, err)
		}
	}
}
