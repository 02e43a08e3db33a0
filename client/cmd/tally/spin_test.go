package main

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func TestParseSpin(t *testing.T) {
	tests := []struct{ text, want string }{
		{"sit 8", `{"feet":[{"positions":[{"position":"SIT","revolutions":8}]}]}`},
		{"Layback 8, LAYBACK sideways 3, layback 2.5 variation",
			`{"feet":[{"positions":[
				{"position":"LAYBACK","lean":"BACKWARD","revolutions":8},
				{"position":"LAYBACK","lean":"SIDEWAYS","revolutions":3},
				{"position":"LAYBACK","lean":"BACKWARD","variation":"LAYBACK","revolutions":2.5}]}]}`},
		{"difficult-flying entrance backward: camel sideways edge 4 speed /jump reverse sit forward 3,upright biellmann 3 change; exit",
			`{"flying":"DIFFICULT","difficultEntrance":true,"backwardEntry":true,"difficultExit":true,"feet":[
				{"positions":[{"position":"CAMEL","variation":"CAMEL_SIDEWAYS","revolutions":4,"features":["CHANGE_OF_EDGE","INCREASE_OF_SPEED"]}]},
				{"change":"JUMP","directionReversed":true,"positions":[
					{"position":"SIT","variation":"SIT_FORWARD","revolutions":3},
					{"position":"UPRIGHT","variation":"BIELLMANN","revolutions":3,"features":["DIFFICULT_CHANGE_OF_POSITION"]}]}]}`},
		{"step-over: other variation 3 / curves sit 3 jump-within blade windmill",
			`{"flying":"STEP_OVER","feet":[
				{"positions":[{"position":"NON_BASIC","variation":"NON_BASIC","revolutions":3}]},
				{"change":"CURVES","positions":[{"position":"SIT","revolutions":3,"features":["JUMP_WITHIN","DIFFICULT_BLADE","WINDMILL"]}]}]}`},
	}
	for _, test := range tests {
		want := &pb.Spin{}
		if err := protojson.Unmarshal([]byte(test.want), want); err != nil {
			t.Fatal(err)
		}
		got, err := parseSpin(test.text)
		if err != nil || !proto.Equal(got, want) {
			t.Errorf("%q: %v, %v; want %v", test.text, got, err, want)
		}
	}
}

func TestParseSpinSaysWhatIsWrong(t *testing.T) {
	tests := []struct{ text, want string }{
		{"", "foot 1: position 1: is empty"},
		{"sit", "no number of revolutions: sit 8"},
		{"stand 8", `"stand" is no position`},
		{"sit upward 8", "behind, forward, sideways"},
		{"camel upward forward 8", "second variation"},
		{"sit 8 9", "twice"},
		{"jumping: sit 8", `"jumping" is no entry`},
		{"sit 8; quick", "only \"exit\""},
		{"sit 3 / hop camel 3", `foot 2: position 1: "hop"`},
		{"jump sit 8", `"jump" is no position`}, // no change before the first foot
	}
	for _, test := range tests {
		if _, err := parseSpin(test.text); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%q: %v; want %q", test.text, err, test.want)
		}
	}
}

func FuzzParseSpin(f *testing.F) {
	for _, seed := range []string{"sit 8", "flying: camel upward 8 / jump sit 3, upright 2; exit", "layback sideways 3", ":/,;", "sit NaN", "sit 1e400"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		spin, err := parseSpin(text)
		if (spin == nil) == (err == nil) {
			t.Fatalf("%q: %v, %v", text, spin, err)
		}
	})
}
