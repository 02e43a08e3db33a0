package access

import (
	"net/http"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// HTTPToken returns the token that an HTTP request brings, "" when it brings none.
// A browser's EventSource cannot send headers, so the query may have it as
// access_token; only streams read it there.
func HTTPToken(r *http.Request) (string, error) {
	header := r.Header.Get("Authorization")
	if header == "" {
		return r.URL.Query().Get("access_token"), nil
	}
	return fromHeader(header)
}

// HeaderToken returns the token of an HTTP request's Authorization header, "" when
// there is none. A token in the query is refused: addresses are kept and logged.
func HeaderToken(r *http.Request) (string, error) {
	if r.URL.Query().Has("access_token") {
		return "", errs.New(pb.ErrorReason_UNAUTHENTICATED, `the token must not stand in the address: send it as "Authorization: Bearer …"`)
	}
	return HTTPToken(r)
}

// fromHeader returns the token of an Authorization header.
func fromHeader(header string) (string, error) {
	token, ok := bearer(header)
	if !ok {
		return "", errs.New(pb.ErrorReason_UNAUTHENTICATED, `the Authorization header must be "Bearer " and one token`)
	}
	return token, nil
}
