package form

import (
	"strings"

	"google.golang.org/grpc/codes"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// What HTTP calls the codes, as grpc-gateway does. OK and what is not named here
// never comes as an error.
var statusOf = map[codes.Code]int{
	codes.Canceled:           499,
	codes.InvalidArgument:    400,
	codes.DeadlineExceeded:   504,
	codes.NotFound:           404,
	codes.AlreadyExists:      409,
	codes.PermissionDenied:   403,
	codes.Unauthenticated:    401,
	codes.ResourceExhausted:  429,
	codes.FailedPrecondition: 400,
	codes.Aborted:            409,
	codes.OutOfRange:         400,
	codes.Unimplemented:      501,
	codes.Unavailable:        503,
	codes.DataLoss:           500,
}

// Where HTTP has a better word for a reason than for its code.
var statusOfReason = map[pb.ErrorReason_Value]int{
	pb.ErrorReason_BODY_TOO_LARGE:           413,
	pb.ErrorReason_METHOD_NOT_ALLOWED:       405,
	pb.ErrorReason_CONTENT_TYPE_UNSUPPORTED: 415,
	pb.ErrorReason_NOT_FOUND:                404,
}

// HTTPStatus is the status of HTTP for an error.
func HTTPStatus(err error) int {
	if status, ok := statusOfReason[pb.ErrorReason_Value(pb.ErrorReason_Value_value[errs.Reason(err)])]; ok {
		return status
	}
	if status, ok := statusOf[errs.Code(err)]; ok {
		return status
	}
	return 500
}

// NotFound says that nothing is at a path.
func NotFound(path string) error {
	path = Show(path)
	return errs.New(pb.ErrorReason_NOT_FOUND,
		"nothing is at "+path+"; /openapi.json lists every path, and / says how to begin", "path", path)
}

// NotAllowed says which methods a path has.
func NotAllowed(method string, allowed []string) error {
	list := strings.Join(allowed, ", ")
	return errs.New(pb.ErrorReason_METHOD_NOT_ALLOWED,
		"the method here is "+list+", not "+method, "found", method, "allowed", list)
}
