package scoring_test

import (
	"fmt"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules/level"
	"github.com/rinktally/rinktally/server/scoring"
)

// Words stand for the same structure that a caller can send.
func TestStructured(t *testing.T) {
	for text, json := range map[string]string{
		"difficult-flying entrance: camel sideways 4 bi-fo speed / jump reverse layback sideways variation 2.5; exit": `{"spin":{
			"flying":"DIFFICULT","difficultEntrance":true,"difficultExit":true,"feet":[
			{"positions":[{"position":"CAMEL","variation":"CAMEL_SIDEWAYS","revolutions":4,"features":["CHANGE_OF_EDGE","INCREASE_OF_SPEED"],"edges":"BI_FO"}]},
			{"change":"JUMP","directionReversed":true,"positions":[{"position":"LAYBACK","lean":"SIDEWAYS","variation":"LAYBACK","revolutions":2.5}]}]}}`,
		"step-over backward: sit 3 / sit 3": `{"spin":{"flying":"STEP_OVER","backwardEntry":true,"feet":[
			{"positions":[{"position":"SIT","revolutions":3}]},{"change":"STEP","positions":[{"position":"SIT","revolutions":3}]}]}}`,
		"steps circular: bracket 1+0, partner loop 0+2; quick-combinations not-recognisable": `{"stepSequence":{"pattern":"CIRCULAR",
			"turns":[{"type":"BRACKET","clockwise":1}],"partnerTurns":[{"type":"LOOP","counterclockwise":2}],
			"quickTurnCombinations":true,"notRecognisable":true}}`,
	} {
		want := read(t, json, &pb.LevelledElement{})
		got, faults := scoring.Structured(&pb.LevelledElement{Kind: &pb.LevelledElement_Text{Text: text}})
		if len(faults) > 0 || !proto.Equal(got, want) {
			t.Errorf("%q: %v, %v; want %v", text, got, faults, want)
		}
		if same, _ := scoring.Structured(want); same != want {
			t.Errorf("a structure does not stay as it is: %v", same)
		}
	}
	if got, faults := scoring.Structured(&pb.LevelledElement{Kind: &pb.LevelledElement_Text{Text: "stand 8"}}); got != nil || len(faults) != 1 || faults[0].Field != "text" {
		t.Errorf("words that are not understood: %v, %v", got, faults)
	}
}

// A program of too many elements is refused before any of their words are read.
func TestTooManyWords(t *testing.T) {
	req := &pb.CallLevelsRequest{Season: "2025-26", Category: "senior-women", Segment: "free-skating"}
	for range level.MaxElements + 1 {
		req.Elements = append(req.Elements, &pb.LevelledElement{Kind: &pb.LevelledElement_Text{Text: "stand 8"}})
	}
	_, err := service(t).CallLevels(t.Context(), req)
	if !strings.Contains(fmt.Sprint(err), "elements: has 21 elements") || strings.Contains(fmt.Sprint(err), "more") {
		t.Errorf("%v", err)
	}
}
