package form_test

import (
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
