package access_test

import (
	"context"
	"strings"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/practice"
)

// whoOfBooks is who may call what of books of attempts: B who holds the book's token, A
// the administrator.
const whoOfBooks = `
CreateBook     A
GetBook        B
UpdateBook     B
DeleteBook     B A
RenewBookToken B
AddSkater      B
ListSkaters    B
UpdateSkater   B
DeleteSkater   B
AddAttempts    B
ListAttempts   B
UpdateAttempt  B
DeleteAttempt  B
ImportAttempts B
ExportAttempts B
AddChange      B
ListChanges    B
DeleteChange   B
GetAbilities    B
ListRunThroughs B
`

// bookTokens are the tokens of books by their ids.
type bookTokens map[string]string

func (b bookTokens) Holds(_ context.Context, book string, hash []byte) (bool, error) {
	token, known := b[book]
	return known && string(access.Hash(token)) == string(hash), nil
}

// Every call of books, by everybody: the token of the book opens it, and no other one,
// least of all the administrator's. A book's token opens nothing else.
func TestWhoMayReadBooks(t *testing.T) {
	const mine, other = "mine", "other"
	h, token := newHolders()
	kept := bookTokens{mine: access.NewBookToken(mine), other: access.NewBookToken(other)}
	guard := access.NewGuard(h, kept, access.Join(practice.Needs(), needs()))
	checked := 0
	refused := func(method, named, token, want string) {
		t.Helper()
		checked++
		if _, err := guard.Check(t.Context(), method, named, token); errs.Reason(err) != want {
			t.Errorf("%s of %s by %.12s…: %v, want %q", method, named, token, err, want)
		}
	}
	for line := range strings.Lines(strings.TrimSpace(whoOfBooks)) {
		name, may, _ := strings.Cut(strings.TrimSpace(line), " ")
		method := "/" + pb.PracticeService_ServiceDesc.ServiceName + "/" + name
		want := func(letter string) string {
			if strings.Contains(may, letter) {
				return ""
			}
			return pb.ErrorReason_PERMISSION_DENIED.String()
		}
		named := mine
		if name == "CreateBook" {
			named = ""
		}
		refused(method, named, "", pb.ErrorReason_UNAUTHENTICATED.String())
		refused(method, named, kept[mine], want("B"))
		refused(method, named, kept[other], want("X"))
		refused(method, named, kept[mine]+"x", pb.ErrorReason_UNAUTHENTICATED.String())
		refused(method, named, strings.Replace(kept[mine], mine, other, 1), pb.ErrorReason_UNAUTHENTICATED.String())
		for letter := range roles {
			refused(method, named, token(open, letter), want(map[bool]string{true: "A", false: "none"}[letter == "A"]))
		}
	}
	if want := (5 + len(roles)) * len(pb.PracticeService_ServiceDesc.Methods); checked != want {
		t.Errorf("%d calls were checked, want %d", checked, want)
	}
	for _, service := range []string{"EventService", "ScoreboardService"} {
		for method, need := range needs() {
			if !strings.Contains(method, service) {
				continue
			}
			for _, event := range []string{open, restricted} {
				actor, err := guard.Check(t.Context(), method, event, kept[mine])
				if fine := need.Open || need.Read && event == open; fine != (err == nil) {
					t.Errorf("a book's token calls %s of %s: %v", method, event, err)
				}
				if err == nil && actor.Role != pb.Role_ROLE_UNSPECIFIED {
					t.Errorf("a book's token makes of its holder %v", actor)
				}
			}
		}
	}
}
