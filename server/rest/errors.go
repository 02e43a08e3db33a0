package rest

import (
	"net/http"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/rest/form"
)

// writeError answers with the error's status as the body. The request id, which
// an INTERNAL needs to be found in the log, is put into its metadata.
func writeError(w http.ResponseWriter, err error) {
	s := errs.Proto(err)
	if errs.Reason(err) == pb.ErrorReason_INTERNAL.String() {
		s = errs.Proto(errs.WithRequestID(err, w.Header().Get(requestIDHeader)))
	}
	body, marshalErr := form.Status(s)
	if marshalErr != nil {
		http.Error(w, http.StatusText(http.StatusInternalServerError), http.StatusInternalServerError)
		return
	}
	status, h := form.HTTPStatus(err), w.Header()
	h.Del("ETag")
	h.Del("Content-Length")
	h.Set("Content-Type", "application/json")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Content-Type-Options", "nosniff")
	if after := retryAfter(err); after != "" {
		h.Set("Retry-After", after)
	}
	if status == http.StatusUnauthorized {
		h.Set("WWW-Authenticate", "Bearer") // RFC 9110, 11.6.1: a 401 says what it takes
	}
	w.WriteHeader(status)
	_, _ = w.Write(append(body, '\n')) //nolint:gosec // JSON, declared as such and not to be sniffed
}

func retryAfter(err error) string { return errs.Metadata(err, "retry_after_seconds") }
