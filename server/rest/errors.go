package rest

import (
	"net/http"
	"strings"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	spb "google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/encoding/protojson"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// httpStatus gives the HTTP status of an error: that of its code, except where
// HTTP has a better word for its reason.
func httpStatus(s *spb.Status, reason string) int {
	switch pb.ErrorReason_Value(pb.ErrorReason_Value_value[reason]) {
	case pb.ErrorReason_BODY_TOO_LARGE:
		return http.StatusRequestEntityTooLarge
	case pb.ErrorReason_METHOD_NOT_ALLOWED:
		return http.StatusMethodNotAllowed
	case pb.ErrorReason_CONTENT_TYPE_UNSUPPORTED:
		return http.StatusUnsupportedMediaType
	case pb.ErrorReason_NOT_FOUND:
		return http.StatusNotFound
	default:
		return runtime.HTTPStatusFromCode(codes.Code(s.GetCode()))
	}
}

// errorJSON writes an error with every field of its details.
var errorJSON = protojson.MarshalOptions{EmitUnpopulated: false}

// writeError answers with the error's status as the body. The request id, which
// an INTERNAL needs to be found in the log, is put into its metadata.
func writeError(w http.ResponseWriter, err error) {
	s := errs.Proto(err)
	reason := errs.Reason(err)
	if reason == pb.ErrorReason_INTERNAL.String() {
		s = errs.Proto(errs.WithRequestID(err, w.Header().Get(requestIDHeader)))
	}
	body, marshalErr := errorJSON.Marshal(s)
	if marshalErr != nil {
		http.Error(w, http.StatusText(http.StatusInternalServerError), http.StatusInternalServerError)
		return
	}
	h := w.Header()
	h.Del("ETag")
	h.Del("Content-Length")
	h.Set("Content-Type", "application/json")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Content-Type-Options", "nosniff")
	if after := retryAfter(err); after != "" {
		h.Set("Retry-After", after)
	}
	w.WriteHeader(httpStatus(s, reason))
	_, _ = w.Write(append(compact(body), '\n')) //nolint:gosec // JSON, declared as such and not to be sniffed
}

func retryAfter(err error) string { return errs.Metadata(err, "retry_after_seconds") }

func notFound(path string) error {
	const most = 60
	if len(path) > most {
		path = path[:most] + "…"
	}
	return errs.New(pb.ErrorReason_NOT_FOUND,
		"nothing is at "+path+"; /openapi.json lists every path, and / says how to begin", "path", path)
}

func notAllowed(method string, allowed []string) error {
	list := strings.Join(allowed, ", ")
	return errs.New(pb.ErrorReason_METHOD_NOT_ALLOWED,
		"the method here is "+list+", not "+method, "found", method, "allowed", list)
}
