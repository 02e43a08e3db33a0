package events_test

import (
	"io"
	"net/http"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Every call of books of attempts on a running server, over gRPC and over REST: without
// the book's own token it is refused, also to the administrator and to whoever holds a
// token of an event or of another book. What is read is kept by no cache.
func TestBooksAreOpenedByTheirTokenOnly(t *testing.T) {
	s := start(t)
	admin := with(t.Context(), s.admin)
	events, practice := pb.NewEventServiceClient(s.conn(t)), pb.NewPracticeServiceClient(s.conn(t))
	must(events.CreateEvent(admin, &pb.CreateEventRequest{Event: "roles-cup", Name: "Roles Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	made, other := must(practice.CreateBook(admin, &pb.CreateBookRequest{Title: "Mine"})), must(practice.CreateBook(admin, &pb.CreateBookRequest{Title: "Other"}))
	book := made.GetBook().GetBook()
	tokens := map[string]string{"nobody": "", "admin": s.admin, "another book": other.GetToken()}
	for _, role := range []pb.Role_Value{pb.Role_ORGANISER, pb.Role_TECHNICAL_PANEL, pb.Role_JUDGE, pb.Role_REFEREE, pb.Role_ANNOUNCER, pb.Role_VIEWER} {
		req := &pb.CreateTokenRequest{Event: "roles-cup", Role: role}
		if role == pb.Role_JUDGE {
			req.Judge = 1
		}
		tokens[role.String()] = must(events.CreateToken(admin, req)).GetToken()
	}
	mine := with(t.Context(), made.GetToken())
	must(practice.AddSkater(mine, &pb.AddSkaterRequest{Book: book, Name: "Mira"}))
	must(practice.AddAttempts(mine, &pb.AddAttemptsRequest{Book: book, Skater: "1", Attempts: []*pb.Attempt{{Planned: "3Lz"}}}))
	for way, conn := range map[string]grpc.ClientConnInterface{"gRPC": s.conn(t), "REST": s.rest()} {
		for _, m := range unary(t, "PracticeService") {
			for holder, token := range tokens {
				if holder == "admin" && (m.Name() == "CreateBook" || m.Name() == "DeleteBook") {
					continue
				}
				req := bare(m, "")
				for name, value := range map[string]string{"book": book, "skater": "1"} {
					if f := m.Input().Fields().ByTextName(name); f != nil {
						req.ProtoReflect().Set(f, protoreflect.ValueOfString(value))
					}
				}
				want := "PERMISSION_DENIED"
				if holder == "nobody" {
					want = "UNAUTHENTICATED"
				}
				err := conn.Invoke(with(t.Context(), token), "/rinktally.v1.PracticeService/"+string(m.Name()), req, answer(m))
				if got := reason(err); got != want {
					t.Errorf("%s: %s by %s: %q, %v; want %q", way, m.Name(), holder, got, err, want)
				}
			}
		}
	}
	for _, path := range []string{"", "/skaters", "/skaters/1/attempts", "/skaters/1/changes", "/skaters/1/abilities?category=senior-women", "/skaters/1/attempts:export"} {
		req := must(http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+s.HTTPAddr()+"/v1/practice/books/"+book+path, nil))
		req.Header.Set("Authorization", "Bearer "+made.GetToken())
		res := must(http.DefaultClient.Do(req))
		body := string(must(io.ReadAll(res.Body)))
		_ = res.Body.Close()
		if res.StatusCode != http.StatusOK || res.Header.Get("Cache-Control") != "no-store" || strings.Contains(body, made.GetToken()) {
			t.Errorf("%s: %s, %q: %s", path, res.Status, res.Header.Get("Cache-Control"), body)
		}
	}
}
