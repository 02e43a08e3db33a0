package errs

import (
	"google.golang.org/grpc/codes"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// codeOf is the canonical code of every reason of the contract. A reason that does
// not stand here makes no status of its own: the call is answered with INTERNAL.
var codeOf = map[pb.ErrorReason_Value]codes.Code{
	pb.ErrorReason_CATEGORY_UNKNOWN:         codes.InvalidArgument,
	pb.ErrorReason_SEGMENT_UNKNOWN:          codes.InvalidArgument,
	pb.ErrorReason_CODE_INVALID:             codes.InvalidArgument,
	pb.ErrorReason_ELEMENT_UNKNOWN:          codes.InvalidArgument,
	pb.ErrorReason_SIGN_UNKNOWN:             codes.InvalidArgument,
	pb.ErrorReason_MARK_OUT_OF_RANGE:        codes.InvalidArgument,
	pb.ErrorReason_MARK_OFF_GRID:            codes.InvalidArgument,
	pb.ErrorReason_PANEL_SIZE_MISMATCH:      codes.InvalidArgument,
	pb.ErrorReason_JUDGE_UNKNOWN:            codes.InvalidArgument,
	pb.ErrorReason_COMPONENT_MISSING:        codes.InvalidArgument,
	pb.ErrorReason_COMPONENT_UNKNOWN:        codes.InvalidArgument,
	pb.ErrorReason_COMPONENT_DUPLICATE:      codes.InvalidArgument,
	pb.ErrorReason_DEDUCTION_UNKNOWN:        codes.InvalidArgument,
	pb.ErrorReason_DEDUCTION_VALUE:          codes.InvalidArgument,
	pb.ErrorReason_POSITION_INVALID:         codes.InvalidArgument,
	pb.ErrorReason_VARIATION_INVALID:        codes.InvalidArgument,
	pb.ErrorReason_REVOLUTIONS_INVALID:      codes.InvalidArgument,
	pb.ErrorReason_FIELD_REQUIRED:           codes.InvalidArgument,
	pb.ErrorReason_FIELD_INVALID:            codes.InvalidArgument,
	pb.ErrorReason_FIELD_UNKNOWN:            codes.InvalidArgument,
	pb.ErrorReason_JSON_INVALID:             codes.InvalidArgument,
	pb.ErrorReason_BODY_TOO_DEEP:            codes.InvalidArgument,
	pb.ErrorReason_TOO_MANY_ITEMS:           codes.InvalidArgument,
	pb.ErrorReason_PAGE_TOKEN_INVALID:       codes.InvalidArgument,
	pb.ErrorReason_SCOPE_REQUIRED:           codes.InvalidArgument,
	pb.ErrorReason_CONTENT_TYPE_UNSUPPORTED: codes.InvalidArgument,
	pb.ErrorReason_REQUEST_ID_REUSED:        codes.InvalidArgument,
	pb.ErrorReason_CSV_INVALID:              codes.InvalidArgument,

	pb.ErrorReason_SEASON_UNKNOWN:    codes.NotFound,
	pb.ErrorReason_ELEMENT_NOT_FOUND: codes.NotFound,
	pb.ErrorReason_NOT_FOUND:         codes.NotFound,
	pb.ErrorReason_EVENT_UNKNOWN:     codes.NotFound,
	pb.ErrorReason_NOT_IN_EVENT:      codes.NotFound,
	pb.ErrorReason_BOOK_UNKNOWN:      codes.NotFound,
	pb.ErrorReason_NOT_IN_BOOK:       codes.NotFound,

	pb.ErrorReason_EVENT_COPIED:        codes.FailedPrecondition,
	pb.ErrorReason_REVISION_MISMATCH:   codes.FailedPrecondition,
	pb.ErrorReason_GOE_VALUE_UNKNOWN:   codes.FailedPrecondition,
	pb.ErrorReason_RULES_NOT_AVAILABLE: codes.FailedPrecondition,
	pb.ErrorReason_NOT_NOW:             codes.FailedPrecondition,
	pb.ErrorReason_INCOMPLETE:          codes.FailedPrecondition,
	pb.ErrorReason_NO_LEGAL_PROGRAM:    codes.FailedPrecondition,

	pb.ErrorReason_EVENT_EXISTS: codes.AlreadyExists,

	pb.ErrorReason_SEQUENCE_CONFLICT: codes.Aborted,

	pb.ErrorReason_UNAUTHENTICATED: codes.Unauthenticated,

	pb.ErrorReason_PERMISSION_DENIED: codes.PermissionDenied,

	pb.ErrorReason_METHOD_NOT_ALLOWED: codes.Unimplemented,

	pb.ErrorReason_BODY_TOO_LARGE: codes.ResourceExhausted,
	pb.ErrorReason_RATE_LIMITED:   codes.ResourceExhausted,
	pb.ErrorReason_STORE_FULL:     codes.ResourceExhausted,

	pb.ErrorReason_STORE_UNAVAILABLE: codes.Unavailable,
	pb.ErrorReason_WATCHER_TOO_SLOW:  codes.Unavailable,
	pb.ErrorReason_SERVER_STOPPING:   codes.Unavailable,
	pb.ErrorReason_ACCESS_CHANGED:    codes.Unavailable,

	pb.ErrorReason_DEADLINE: codes.DeadlineExceeded,

	pb.ErrorReason_CANCELLED: codes.Canceled,

	pb.ErrorReason_EVENT_DAMAGED: codes.DataLoss,

	pb.ErrorReason_INTERNAL: codes.Internal,
}
