package practice

import (
	"context"
	"crypto/rand"
	"fmt"
	"strings"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/store/books"
)

// How much fits. Texts are counted in characters.
const (
	maxTitle  = 200
	maxName   = 200
	maxCause  = 60
	maxCauses = 50
	idLength  = 16
)

// CreateBook makes an empty book, and its token.
func (s *Service) CreateBook(ctx context.Context, req *pb.CreateBookRequest) (*pb.CreateBookResponse, error) {
	var faults rules.FieldErrors
	body := &pb.Book{Title: required(&faults, "title", req.GetTitle(), maxTitle), Causes: causes(&faults, "causes", req.GetCauses())}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	id := strings.ToLower(rand.Text()[:idLength])
	token := access.NewBookToken(id)
	kept := books.Book{ID: id, Token: access.Hash(token), Created: s.now()}
	var err error
	if kept.Body, err = proto.Marshal(body); err != nil {
		return nil, errs.From(err, req)
	}
	if err := s.store.CreateBook(ctx, &kept); err != nil {
		return nil, fault(err, req, "")
	}
	book, err := fromBook(&kept)
	if err != nil {
		return nil, errs.From(err, req)
	}
	return &pb.CreateBookResponse{Book: book, Token: token}, nil
}

// GetBook shows a book.
func (s *Service) GetBook(ctx context.Context, req *pb.GetBookRequest) (*pb.GetBookResponse, error) {
	book, err := s.book(ctx, req.GetBook())
	if err != nil {
		return nil, fault(err, req, "")
	}
	return &pb.GetBookResponse{Book: book}, nil
}

func (s *Service) book(ctx context.Context, id string) (*pb.Book, error) {
	kept, err := s.store.Book(ctx, id)
	if err != nil {
		return nil, err
	}
	return fromBook(&kept)
}

func fromBook(kept *books.Book) (*pb.Book, error) {
	b := &pb.Book{}
	if err := proto.Unmarshal(kept.Body, b); err != nil {
		return nil, fmt.Errorf("book %s: %w", kept.ID, err)
	}
	b.Book, b.CreateTime, b.Skaters = kept.ID, timestamppb.New(kept.Created), int32(kept.Skaters)
	return b, nil
}

// UpdateBook changes title and causes.
func (s *Service) UpdateBook(ctx context.Context, req *pb.UpdateBookRequest) (*pb.UpdateBookResponse, error) {
	var faults rules.FieldErrors
	to := &pb.Book{}
	if req.Title != nil {
		to.Title = required(&faults, "title", req.GetTitle(), maxTitle)
	}
	to.Causes = causes(&faults, "causes.causes", req.GetCauses().GetCauses())
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	err := s.store.SetBook(ctx, req.GetBook(), change(func(b *pb.Book) error {
		if req.Title != nil {
			b.Title = to.GetTitle()
		}
		if req.GetCauses() != nil {
			b.Causes = to.GetCauses()
		}
		return nil
	}))
	if err != nil {
		return nil, fault(err, req, "")
	}
	book, err := s.book(ctx, req.GetBook())
	if err != nil {
		return nil, fault(err, req, "")
	}
	return &pb.UpdateBookResponse{Book: book}, nil
}

// DeleteBook deletes a book with all that is in it.
func (s *Service) DeleteBook(ctx context.Context, req *pb.DeleteBookRequest) (*pb.DeleteBookResponse, error) {
	if err := s.store.DeleteBook(ctx, req.GetBook()); err != nil {
		return nil, fault(err, req, "")
	}
	return &pb.DeleteBookResponse{}, nil
}

// RenewBookToken makes another token for a book.
func (s *Service) RenewBookToken(ctx context.Context, req *pb.RenewBookTokenRequest) (*pb.RenewBookTokenResponse, error) {
	token := access.NewBookToken(req.GetBook())
	if err := s.store.SetToken(ctx, req.GetBook(), access.Hash(token)); err != nil {
		return nil, fault(err, req, "")
	}
	return &pb.RenewBookTokenResponse{Token: token}, nil
}

// change returns a change of a kept message.
func change[M any, P interface {
	*M
	proto.Message
}](do func(P) error) func([]byte) ([]byte, error) {
	return func(body []byte) ([]byte, error) {
		m := P(new(M))
		if err := proto.Unmarshal(body, m); err != nil {
			return nil, err
		}
		if err := do(m); err != nil {
			return nil, err
		}
		return proto.Marshal(m)
	}
}

// required takes a text that must be there.
func required(faults *rules.FieldErrors, field, value string, most int) string {
	before := len(*faults)
	if value = ask.Text(faults, field, value, most); value == "" && len(*faults) == before {
		faults.Add(field, rules.ReasonFieldRequired, "is empty")
	}
	return value
}

// causes takes the words that a book offers, each once.
func causes(faults *rules.FieldErrors, field string, given []string) []string {
	if len(given) > maxCauses {
		faults.Add(field, rules.ReasonTooManyItems, "has %d causes; %s are kept", len(given), rules.Allow("at most %d", maxCauses))
		return nil
	}
	list := make([]string, len(given))
	seen := map[string]bool{}
	for i, cause := range given {
		at := fmt.Sprintf("%s[%d]", field, i)
		list[i] = required(faults, at, cause, maxCause)
		if seen[list[i]] && list[i] != "" {
			faults.Add(at, rules.ReasonFieldInvalid, "stands in the list already")
		}
		seen[list[i]] = true
	}
	return list
}
