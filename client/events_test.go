package client_test

import (
	"context"
	"errors"
	"slices"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/clienttest"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// The segment of a small invented event.
const (
	cup      = "spring-cup"
	category = "senior-women"
	short    = "short-program"
)

// desks are the contexts of those who run the event.
type desks struct{ organiser, panel, judge, referee context.Context }

// must returns a value, or ends the test's program when there is an error.
func must[T any](v T, err error) T {
	if err != nil {
		panic(errors.Join(errors.New("preparing a test"), err))
	}
	return v
}

// setUp makes the event up to the start of its segment, each step under the token of
// the desk that makes it.
func setUp(t *testing.T, server *clienttest.Server, c client.Events) desks {
	t.Helper()
	admin := client.ContextWithToken(t.Context(), server.Admin)
	must(c.CreateEvent(admin, &pb.CreateEventRequest{Event: cup, Name: "Spring Cup", StartDate: "2026-03-14", Season: "2025-26"}))
	token := func(role pb.Role_Value, judge int32) context.Context {
		made := must(c.CreateToken(admin, &pb.CreateTokenRequest{Event: cup, Role: role, Judge: judge}))
		return client.ContextWithToken(t.Context(), made.GetToken())
	}
	organiser := token(pb.Role_ORGANISER, 0)
	must(c.SetCategory(organiser, &pb.SetCategoryRequest{Event: cup, Category: category}))
	must(c.SetPanel(organiser, &pb.SetPanelRequest{Event: cup, Panel: &pb.EventPanel{Judges: 1}}))
	must(c.AddEntry(organiser, &pb.AddEntryRequest{Event: cup, Category: category, Name: "Ada Invented"}))
	must(c.DrawStartingOrder(organiser, &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short}))
	d := desks{organiser, token(pb.Role_TECHNICAL_PANEL, 0), token(pb.Role_JUDGE, 1), token(pb.Role_REFEREE, 0)}
	must(c.StartSegment(d.referee, &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}))
	return d
}

// skate runs the one performance to its confirmation.
func skate(c client.Events, d desks) *pb.Performance {
	p := must(c.CallSkater(d.panel, &pb.CallSkaterRequest{Event: cup, Category: category, Segment: short})).GetPerformance()
	for _, code := range []string{"3Lz+3T", "2A"} {
		called := must(c.CallElement(d.panel, &pb.CallElementRequest{Event: cup, Category: category, Segment: short, Entry: p.GetEntry(), Code: code}))
		must(c.SetElementMarks(d.judge, &pb.SetElementMarksRequest{
			Event: cup, Category: category, Segment: short, Entry: p.GetEntry(), Judge: 1,
			Marks: []*pb.GivenElementMark{{Element: called.GetElement(), Mark: new(int32(1))}},
		}))
	}
	must(c.EndProgram(d.panel, &pb.EndProgramRequest{Event: cup, Category: category, Segment: short, Entry: p.GetEntry()}))
	var marks []*pb.GivenComponentMark
	for _, component := range p.GetComponents() {
		marks = append(marks, &pb.GivenComponentMark{Component: component.GetComponent(), Mark: new(7.25)})
	}
	must(c.SetComponentMarks(d.judge, &pb.SetComponentMarksRequest{Event: cup, Category: category, Segment: short, Entry: p.GetEntry(), Judge: 1, Marks: marks}))
	return must(c.ConfirmSkater(d.referee, &pb.ConfirmSkaterRequest{Event: cup, Category: category, Segment: short, Entry: p.GetEntry()})).GetPerformance()
}

// TestEventThroughTheClient runs a small event and watches it.
func TestEventThroughTheClient(t *testing.T) {
	server := clienttest.Start(t)
	c := server.Client()
	d := setUp(t, server, c)
	first := must(c.GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: cup})).GetScoreboard()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	var boards []*pb.Scoreboard
	var wait sync.WaitGroup
	wait.Go(func() {
		for board, err := range c.WatchScoreboard(ctx, &pb.WatchScoreboardRequest{Event: cup, AfterSequence: new(first.GetSequence())}) {
			if err != nil {
				t.Error(err)
				return
			}
			if boards = append(boards, board); board.GetSegment().GetStatus() == pb.ResultStatus_OFFICIAL {
				return
			}
		}
	})
	confirmed := skate(c, d)
	signed := must(c.PublishSegment(d.referee, &pb.PublishSegmentRequest{Event: cup, Category: category, Segment: short}))
	wait.Wait()

	// Each shows something that the one before does not.
	before := first
	for i, board := range boards {
		was, is := proto.CloneOf(before), proto.CloneOf(board)
		was.Sequence, is.Sequence, was.Time, is.Time = 0, 0, nil, nil
		if board.GetSequence() <= before.GetSequence() || proto.Equal(was, is) {
			t.Fatalf("board %d of %d shows nothing new behind that of %d", i, board.GetSequence(), before.GetSequence())
		}
		before = board
	}
	last := must(c.GetScoreboard(t.Context(), &pb.GetScoreboardRequest{Event: cup})).GetScoreboard()
	if !proto.Equal(before, last) {
		t.Errorf("the last board is %v, want %v", before, last)
	}
	if len(boards) == 0 || boards[len(boards)-1].GetSequence() != signed.GetSequence() {
		t.Errorf("%d boards do not end with %d", len(boards), signed.GetSequence())
	}
	standing := must(c.GetSegmentStanding(t.Context(), &pb.GetSegmentStandingRequest{Event: cup, Category: category, Segment: short}))
	if places := standing.GetStanding().GetPlaces(); len(places) != 1 || places[0].GetSegmentScore() != confirmed.GetSegmentScore() {
		t.Errorf("places %v after the score %v", places, confirmed.GetSegmentScore())
	}
}

// TestWatchEvent watches a small event as a desk, from everything that there is to
// the score, and ends when it is left.
func TestWatchEvent(t *testing.T) {
	server := clienttest.Start(t)
	c := server.Client()
	d := setUp(t, server, c)
	ctx, cancel := context.WithTimeout(d.referee, time.Minute)
	defer cancel()
	begun := make(chan bool)
	var answers []*pb.WatchEventResponse
	var wait sync.WaitGroup
	wait.Go(func() {
		for answer, err := range c.WatchEvent(ctx, &pb.WatchEventRequest{Event: cup}) {
			if err != nil {
				t.Error(err)
				return
			}
			if answers = append(answers, answer); len(answers) == 1 {
				close(begun)
			}
			if answer.GetPerformance().GetState() == pb.PerformanceState_CONFIRMED {
				return
			}
		}
	})
	<-begun
	confirmed := skate(c, d)
	wait.Wait()
	if first := answers[0]; len(first.GetEntries()) != 1 || first.GetEvent().GetEvent() != cup || len(first.GetTokens()) != 4 {
		t.Errorf("it begins with %v", first)
	}
	last := answers[len(answers)-1]
	if got := last.GetPerformance(); got.GetSegmentScore() != confirmed.GetSegmentScore() || len(last.GetEntries()) != 0 {
		t.Errorf("it ends with %v, want the score %s and nothing that has not changed", last, confirmed.GetSegmentScore())
	}
}

// TestRefusedTokens reads what a program must keep apart.
func TestRefusedTokens(t *testing.T) {
	server := clienttest.Start(t)
	c := server.Client()
	d := setUp(t, server, c)
	call := func(ctx context.Context) error {
		_, err := c.CallSkater(ctx, &pb.CallSkaterRequest{Event: cup, Category: category, Segment: short})
		return err
	}
	for name, test := range map[string]struct {
		err    error
		reason pb.ErrorReason_Value
	}{
		"no token":      {call(t.Context()), pb.ErrorReason_UNAUTHENTICATED},
		"no such token": {call(client.ContextWithToken(t.Context(), "rt_spring-cup_guessed")), pb.ErrorReason_UNAUTHENTICATED},
		"another role":  {call(d.judge), pb.ErrorReason_PERMISSION_DENIED},
	} {
		if !errors.Is(test.err, client.ErrReason(test.reason)) {
			t.Errorf("%s: %v, want %v", name, test.err, test.reason)
		}
	}
	_, err := seen(t.Context(), c, &pb.WatchScoreboardRequest{Event: "no-cup"})
	if !errors.Is(err, client.ErrReason(pb.ErrorReason_EVENT_UNKNOWN)) {
		t.Errorf("a watch of no event: %v", err)
	}
}

// loseAnswers loses the answer to the first attempt of each call that succeeds: the
// server has done what was asked, and the client cannot know.
func loseAnswers() client.Option {
	var mu sync.Mutex
	var lost []any // requests; all attempts of a call send the same
	return client.WithDialOptions(grpc.WithChainUnaryInterceptor(
		func(ctx context.Context, method string, req, reply any, cc *grpc.ClientConn, invoke grpc.UnaryInvoker, opts ...grpc.CallOption) error {
			if err := invoke(ctx, method, req, reply, cc, opts...); err != nil {
				return err
			}
			mu.Lock()
			defer mu.Unlock()
			if slices.Contains(lost, req) {
				return nil
			}
			lost = append(lost, req)
			return status.Error(codes.Unavailable, "the answer was lost")
		}))
}

// TestLostAnswersChangeNothing runs the same event while every answer is lost once:
// it ends with the same facts.
func TestLostAnswersChangeNothing(t *testing.T) {
	facts := func(opts ...client.Option) (kinds []string) {
		server := clienttest.Start(t)
		d := setUp(t, server, server.Client())
		skate(server.Client(append(opts, client.WithRetry(3, time.Millisecond, 0))...), d)
		all := must(server.Client().ListFacts(client.ContextWithToken(t.Context(), server.Admin), &pb.ListFactsRequest{Event: cup}))
		for _, fact := range all.GetFacts() {
			kinds = append(kinds, fact.GetKind())
		}
		return kinds
	}
	want := facts()
	if got := facts(loseAnswers()); !slices.Equal(got, want) {
		t.Errorf("the log has\n%v, without losses\n%v", got, want)
	}
}

// TestATokenIsNotMadeTwice reports a lost answer, since a repetition could not show
// the secret.
func TestATokenIsNotMadeTwice(t *testing.T) {
	server := clienttest.Start(t)
	setUp(t, server, server.Client())
	c := server.Client(client.WithToken(server.Admin), loseAnswers())
	before := must(c.ListTokens(t.Context(), &pb.ListTokensRequest{Event: cup}))
	made, err := c.CreateToken(t.Context(), &pb.CreateTokenRequest{Event: cup, Role: pb.Role_VIEWER})
	if status.Code(err) != codes.Unavailable {
		t.Errorf("got %v, %v", made, err)
	}
	after := must(c.ListTokens(t.Context(), &pb.ListTokensRequest{Event: cup}))
	if n := len(after.GetTokens()) - len(before.GetTokens()); n != 1 {
		t.Errorf("%d tokens were made", n)
	}
}
