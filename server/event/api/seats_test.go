package api_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/event/api"
	"github.com/rinktally/rinktally/server/event/host"
)

// A code makes one token within a quarter of an hour, also after a restart, however it
// is typed; a later one for the same desk ends it. Neither is in the log.
func TestSeatCodes(t *testing.T) {
	r := newCup(t)
	now := day
	clock := func() time.Time { return now }
	server := api.New(host.NewBook(r.log, clock), r.tables)
	offer := func(req *pb.CreateSeatCodeRequest) *pb.CreateSeatCodeResponse {
		req.Event = cup
		return must(server.CreateSeatCode(organiser(t), req))
	}
	take := func(code, id string) (*pb.TakeSeatResponse, error) {
		return server.TakeSeat(t.Context(), &pb.TakeSeatRequest{Event: cup, Code: code, RequestId: id})
	}
	third := &pb.CreateSeatCodeRequest{Role: pb.Role_JUDGE, Judge: 3, RequestId: "first"}
	made := offer(third)
	code := made.GetCode()
	if len(code) != 6 || strings.ContainsAny(code, "01IO") || code != strings.ToUpper(code) || !made.GetExpireTime().AsTime().Equal(day.Add(15*time.Minute)) {
		t.Fatalf("the code is %v", made)
	}
	if again := offer(third); again.GetCode() != "" || !proto.Equal(again.GetExpireTime(), made.GetExpireTime()) {
		t.Errorf("repeated: %v; want no code", again)
	}
	other := offer(&pb.CreateSeatCodeRequest{Role: pb.Role_REFEREE}).GetCode()

	book := host.NewBook(r.log, clock) // as after a restart
	server = api.New(book, r.tables)
	now = day.Add(15*time.Minute - time.Second)
	typed := " " + strings.ToLower(code[:3]) + "-" + code[3:] + " "
	seat := must(take(typed, "sit"))
	if actor, ok, err := book.Holder(t.Context(), cup, access.Hash(seat.GetToken())); err != nil || !ok || actor.Role != pb.Role_JUDGE || actor.Judge != 3 {
		t.Errorf("the token of %v is held by %v, %v, %v", seat, actor, ok, err)
	}
	if seat.GetInfo().GetJudge() != 3 || seat.GetInfo().GetExpireTime() != nil {
		t.Errorf("the seat is %v", seat.GetInfo())
	}
	if again := must(take(typed, "sit")); again.GetToken() != "" || again.GetInfo().GetId() != seat.GetInfo().GetId() {
		t.Errorf("repeated: %v; want the same seat without its token", again)
	}
	renewed := offer(&pb.CreateSeatCodeRequest{Role: pb.Role_REFEREE}).GetCode()
	for name, c := range map[string]string{"used": code, "replaced": other, "unknown": "AAAAAA"} {
		if _, err := take(c, ""); errs.Reason(err) != pb.ErrorReason_UNAUTHENTICATED.String() {
			t.Errorf("a code that is %s: %v", name, err)
		}
	}
	_, err := take(" ", "")
	refused(t, err, pb.ErrorReason_FIELD_REQUIRED, "code")
	_, err = server.CreateSeatCode(organiser(t), &pb.CreateSeatCodeRequest{Event: cup, Role: pb.Role_ADMIN})
	refused(t, err, pb.ErrorReason_FIELD_INVALID, "role")
	_, err = server.CreateSeatCode(organiser(t), &pb.CreateSeatCodeRequest{Event: cup, Role: pb.Role_JUDGE})
	refused(t, err, pb.ErrorReason_JUDGE_UNKNOWN, "judge")
	now = now.Add(15 * time.Minute)
	if _, err = take(renewed, ""); errs.Reason(err) != pb.ErrorReason_UNAUTHENTICATED.String() {
		t.Errorf("a code that is too old: %v", err)
	}

	for _, record := range must(r.log.Read(t.Context(), cup, 0, 0)) {
		if all := append(bytes.Clone(record.Body), record.Apart...); bytes.Contains(all, []byte(code)) || bytes.Contains(all, []byte(seat.GetToken())) {
			t.Errorf("fact %d has the code or the token", record.Seq)
		}
		if record.Kind == "SeatTaken" && record.Actor != "" {
			t.Errorf("the seat was taken by %q, want nobody", record.Actor)
		}
	}
	shown := must(server.ListFacts(organiser(t), &pb.ListFactsRequest{Event: cup, PageSize: 1000})).GetFacts()
	for _, fact := range shown {
		if strings.Contains(fact.GetJson(), "hash") {
			t.Errorf("%s shows a hash: %s", fact.GetKind(), fact.GetJson())
		}
	}
}

// The list of tokens says when each called last, of what this server has heard.
func TestTokensSayWhenTheyCalledLast(t *testing.T) {
	r := newCup(t)
	called := day.Add(time.Minute)
	made := must(r.CreateToken(organiser(t), &pb.CreateTokenRequest{Event: cup, Role: pb.Role_REFEREE}))
	last := func(book *host.Book) time.Time {
		info := must(api.New(book, r.tables).ListTokens(organiser(t), &pb.ListTokensRequest{Event: cup})).GetTokens()[0]
		if info.GetLastCallTime() == nil {
			return time.Time{}
		}
		return info.GetLastCallTime().AsTime()
	}
	book := host.NewBook(r.log, func() time.Time { return called })
	if at := last(book); !at.IsZero() {
		t.Errorf("nobody has called, but at %v", at)
	}
	if _, ok, err := book.Holder(t.Context(), cup, access.Hash(made.GetToken())); !ok || err != nil {
		t.Fatal(ok, err)
	}
	if at := last(book); !at.Equal(called) {
		t.Errorf("called last at %v, want %v", at, called)
	}
}
