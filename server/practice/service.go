// Package practice answers PracticeService: it keeps books of attempts and counts them.
package practice

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"errors"
	"strconv"
	"time"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/books"
	"github.com/rinktally/rinktally/server/tables"
)

// Service implements PracticeService over a store of books and season tables.
type Service struct {
	pb.UnimplementedPracticeServiceServer

	store  *books.Store
	tables *tables.Tables
	clock  store.Clock
}

// New makes the service; a nil clock is the system's.
func New(s *books.Store, t *tables.Tables, clock store.Clock) *Service {
	if clock == nil {
		clock = time.Now
	}
	return &Service{store: s, tables: t, clock: clock}
}

// Needs is what the calls ask of their callers: the token of their book. The
// administrator makes books and can have them deleted, and reads nothing.
func Needs() access.Needs {
	needs := access.Needs{}
	for _, m := range pb.PracticeService_ServiceDesc.Methods {
		needs["/"+pb.PracticeService_ServiceDesc.ServiceName+"/"+m.MethodName] = access.Need{Book: true}
	}
	admin := []pb.Role_Value{pb.Role_ADMIN}
	needs[pb.PracticeService_CreateBook_FullMethodName] = access.Need{Roles: admin}
	needs[pb.PracticeService_DeleteBook_FullMethodName] = access.Need{Book: true, Roles: admin}
	return needs
}

// Holds is access.Books.
func (s *Service) Holds(ctx context.Context, book string, hash []byte) (bool, error) {
	b, err := s.store.Book(ctx, book)
	if errors.Is(err, books.ErrBookUnknown) {
		return false, nil
	}
	return err == nil && subtle.ConstantTimeCompare(b.Token, hash) == 1, err
}

// now is the time as it is kept.
func (s *Service) now() time.Time { return store.Time(s.clock()) }

// reasonNotInBook equals the ErrorReason name of the public contract.
const reasonNotInBook rules.Reason = "NOT_IN_BOOK"

// fault returns the status of an error of the store. The lists that can be full are those
// that the call adds to.
func fault(err error, req proto.Message, list string) error {
	var wrong rules.FieldError
	switch {
	case err == nil:
		return nil
	case errors.Is(err, books.ErrBookUnknown):
		book := ""
		if named, ok := req.(interface{ GetBook() string }); ok {
			book = named.GetBook()
		}
		return errs.New(pb.ErrorReason_BOOK_UNKNOWN, "there is no book "+rules.Quote(book), "book", book)
	case errors.Is(err, books.ErrSkaterUnknown):
		wrong = rules.Fault("skater", reasonNotInBook, "the book has no skater of this id")
	case errors.Is(err, books.ErrAttemptUnknown):
		wrong = rules.Fault("attempt", reasonNotInBook, "the skater has no attempt of this id")
	case errors.Is(err, books.ErrChangeUnknown):
		wrong = rules.Fault("change", reasonNotInBook, "the skater has no change of this id")
	case errors.Is(err, books.ErrFull):
		most := map[string]int{"skaters": books.Limits.Skaters, "attempts": books.Limits.Attempts, "changes": books.Limits.Changes}[list]
		wrong = rules.Fault(list, rules.ReasonTooManyItems, "are more than are kept: %s", rules.Allow("at most %d", most))
	case errors.Is(err, store.ErrRequestReused):
		return errs.New(pb.ErrorReason_REQUEST_ID_REUSED, "the request id was used for another request; take a new one for each request", "field", "requestId")
	default:
		return errs.From(err, req)
	}
	return errs.From(wrong, req)
}

// keyed is a request about a skater.
type keyed interface {
	proto.Message
	GetBook() string
	GetSkater() string
}

// keyOf returns the skater of a request. A text that is no id is one that nobody has.
func keyOf(req keyed) books.Key {
	return books.Key{Book: req.GetBook(), Skater: number(req.GetSkater())}
}

// number reads an id; 0 stands for one that nothing has.
func number(id string) int64 {
	n, err := strconv.ParseInt(id, 10, 64)
	if err != nil || n < 1 || strconv.FormatInt(n, 10) != id {
		return 0
	}
	return n
}

func idOf(n int64) string { return strconv.FormatInt(n, 10) }

// requestOf returns what makes a call repeatable.
func (s *Service) requestOf(faults *rules.FieldErrors, req interface {
	proto.Message
	GetRequestId() string
}) books.Request {
	r := books.Request{ID: req.GetRequestId(), At: s.now()}
	if r.ID == "" {
		return r
	}
	var wrong rules.FieldError
	if errors.As(ask.CheckRequestID(r.ID), &wrong) {
		*faults = append(*faults, wrong)
		return r
	}
	body, err := proto.MarshalOptions{Deterministic: true}.Marshal(req)
	if err != nil {
		faults.Add("", rules.ReasonFieldInvalid, "cannot be read: %v", err)
		return r
	}
	sum := sha256.Sum256(append([]byte(req.ProtoReflect().Descriptor().FullName()), body...))
	r.Digest = sum[:]
	return r
}
