package practice_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/clienttest"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

var now = time.Date(2026, 1, 17, 9, 30, 0, 0, time.UTC)

// book is a server with a book in it, and who holds its token.
type book struct {
	*client.Client

	server *clienttest.Server
	admin  *client.Client
	id     string
}

func newBook(t *testing.T) *book {
	t.Helper()
	server := clienttest.Start(t, clienttest.WithClock(func() time.Time { return now }))
	admin := server.Client(client.WithToken(server.Admin))
	made, err := admin.CreateBook(t.Context(), &pb.CreateBookRequest{Title: "Ice club", Causes: []string{"timing", "axis"}})
	if err != nil {
		t.Fatal(err)
	}
	return &book{server.Client(client.WithToken(made.GetToken())), server, admin, made.GetBook().GetBook()}
}

// skater adds a skater who practises for a category of 2025-26.
func (b *book) skater(t *testing.T, name string) string {
	t.Helper()
	added, err := b.AddSkater(t.Context(), &pb.AddSkaterRequest{Book: b.id, Name: name, Season: "2025-26", Category: "senior-women"})
	if err != nil {
		t.Fatal(err)
	}
	return added.GetSkater().GetSkater()
}

func (b *book) add(t *testing.T, skater string, attempts ...*pb.Attempt) []*pb.Attempt {
	t.Helper()
	added, err := b.AddAttempts(t.Context(), &pb.AddAttemptsRequest{Book: b.id, Skater: skater, Attempts: attempts})
	if err != nil {
		t.Fatal(err)
	}
	return added.GetAttempts()
}

// came is an attempt so many days before now.
func came(days int, planned, code string) *pb.Attempt {
	return &pb.Attempt{Planned: planned, Came: code, Time: timestamppb.New(now.AddDate(0, 0, -days))}
}

// What GetAbilities answers is what PlanProgram takes, and its chances are those of the
// attempts.
func TestAbilitiesArePlanned(t *testing.T) {
	b := newBook(t)
	mira := b.skater(t, "Mira")
	var attempts []*pb.Attempt
	for i := range 40 {
		lutz := came(i%20, "3Lz", []string{"", "", "3Lz<", "2Lz", "", "", "3Lz", "1Lz", "3Lz<<", ""}[i%10])
		lutz.Fall = i%10 == 6
		attempts = append(attempts, lutz, came(i%20, "CCoSp4", []string{"CCoSp4", "CCoSp3", "CCoSp4", "CCoSp4"}[i%4]))
	}
	for range 6 {
		attempts = append(attempts, came(1, "ChSq1", ""), came(2, "2A", ""), came(2, "LSp3", "LSp4"), came(3, "StSqB", ""))
	}
	attempts = append(attempts, came(1, "6T", ""))
	b.add(t, mira, attempts...)
	res, err := b.GetAbilities(t.Context(), &pb.GetAbilitiesRequest{Book: b.id, Skater: mira})
	if err != nil {
		t.Fatal(err)
	}
	t.Log(proto.MarshalOptions{}, res)
	if _, err := b.PlanProgram(t.Context(), &pb.PlanProgramRequest{
		Season: "2025-26", Category: "senior-women", Segment: "free-skating", Abilities: res.GetAbilities(),
	}); err != nil {
		t.Error(err)
	}
}

func TestImportExport(t *testing.T) {
	b := newBook(t)
	mira := b.skater(t, "Mira")
	odd := came(1, "3Lz", "3Lz<")
	odd.Grade, odd.Cause, odd.Note, odd.RunThrough = proto.Float64(-2), "=axis", "late; =1+1, \"so\"", "run 1"
	odd.Level = &pb.LevelledElement{Kind: &pb.LevelledElement_Text{Text: "camel upward 8"}}
	b.add(t, mira, odd, came(2, "2A", ""), came(2, "2A", ""))
	file, err := b.ExportAttempts(t.Context(), &pb.ExportAttemptsRequest{Book: b.id, Skater: mira})
	if err != nil {
		t.Fatal(err)
	}
	text := string(file.GetFile().GetData())
	fmt.Println(text)
	if !strings.Contains(text, ",'=axis,") {
		t.Error(text)
	}
	other := b.skater(t, "Nel")
	for _, want := range []int32{3, 0} {
		res, err := b.ImportAttempts(t.Context(), &pb.ImportAttemptsRequest{Book: b.id, Skater: other, Csv: text})
		if err != nil || res.GetAdded() != want || res.GetPassedOver() != 3-want {
			t.Errorf("%v, %v", res, err)
		}
	}
	again, err := b.ExportAttempts(t.Context(), &pb.ExportAttemptsRequest{Book: b.id, Skater: other})
	if err != nil || string(again.GetFile().GetData()) != text {
		t.Errorf("%s, %v", again.GetFile().GetData(), err)
	}
}
