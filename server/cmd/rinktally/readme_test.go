package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/program"
	"github.com/rinktally/rinktally/server/scoring"
)

// TestReadmeClubTable takes the club's table, its golden case and the group of
// skaters out of the rules' README: the table has no fault, the case holds, and the group
// is scored under it.
func TestReadmeClubTable(t *testing.T) {
	text, err := os.ReadFile("../../../rules/README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(text), "## Your own rules")
	block := func(kind, begin string) string {
		m := regexp.MustCompile("(?s)```" + kind + "\n(" + begin + ".*?)```").FindStringSubmatch(section)
		if m == nil {
			t.Fatalf("the README shows no %s %s", kind, begin)
		}
		return m[1]
	}
	const folder = "# our-rules/lakeside-2026/"
	dir := writeClub(t, block("yaml", folder+"season"), block("csv", folder+"singles"), block("yaml", folder+"cases"))
	if err := os.WriteFile(filepath.Join(dir, "lakeside-2026", "program.yaml"), []byte(block("yaml", folder+"program")), 0o600); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := checkRules(context.Background(), &out, dir); err != nil || strings.Contains(out.String(), "warning") || !strings.Contains(out.String(), "golden cases run: 1, all of them hold") {
		t.Fatalf("%v\n%s", err, out.String())
	}
	own, err := ownTables(dir)
	if err != nil {
		t.Fatal(err)
	}
	checked, err := program.New(own).CheckProgram(context.Background(), &pb.CheckProgramRequest{Season: "lakeside-2026", Category: "cubs", Segment: "free-skating", Text: "1S, OneSp, OneSp"})
	if err != nil || checked.GetElements()[2].GetCode() != "OneSp*" || checked.GetTotalBaseValue() != "1.00" { // 1S 0.40, OneSp 0.60; the second spin is one too many
		t.Errorf("the program of a cub: %v, %v", err, checked.GetElements())
	}
	req := &pb.BatchScoreSegmentsRequest{}
	if err := protojson.Unmarshal([]byte(block("json", "")), req); err != nil {
		t.Fatal(err)
	}
	req.Season = "lakeside-2026"
	res, err := scoring.New(own).BatchScoreSegments(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: WJ+1T 0.70 with the mean of 0.04, 0.08, 0.04 (10% of 1T a grade),
	// OneSp 0.60 with that of 0.00, 0.06, 0.06; components 2.58 and 2.42, each
	// times 1.50; a fall 0.50. Then 1S 0.40 with 0.00, 0.00, -0.04 and OneSp
	// 0.60 with 0.06, 0.06, 0.12; components 2.75 and 2.75, each 4.13.
	for i, want := range []string{"8.39", "9.33"} {
		if got := res.GetResults()[i].GetScore().GetSegmentScore(); got != want {
			t.Errorf("skater %d has %q points, want %s: %v", i+1, got, want, res.GetResults()[i].GetError())
		}
		for _, w := range res.GetResults()[i].GetScore().GetWarnings() {
			t.Errorf("skater %d: warning %s of %s", i+1, w.GetCode(), w.GetRule())
		}
	}
}
