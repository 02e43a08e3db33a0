package integration_test

import (
	"net/http"
	"slices"
	"strings"
	"testing"
)

const goodSeason = "2025-26"

func goodPath(call string) string { return "/v1/seasons/" + goodSeason + "/" + call }

// The calls, by the last part of their paths.
const (
	scoreCall  = "segments:score"
	batchCall  = "segments:batchScore"
	valueCall  = "elements:value"
	levelCall  = "levels:call"
	placesCall = "results:rankSegment"
	rankCall   = "results:rank"
	checkCall  = "programs:check"
	parseCall  = "elements:parse"

	levelsCall   = "levels:batchCall"
	programsCall = "programs:batchCheck"
)

// good holds one good request of every call. Codes and marks are invented.
var good = map[string]string{
	parseCall:    `{"codes": ["3Lz+3T<", "ccosp4v"]}`,
	levelsCall:   `{"programs": [{"category": "senior-women", "segment": "free-skating", "elements": [{"text": "camel upward 8 / sit 3"}]}]}`,
	programsCall: `{"programs": [{"category": "senior-women", "segment": "free-skating", "text": "3Lz, CCoSp4"}]}`,
	scoreCall: `{
		"category": "senior-women", "segment": "free-skating",
		"elements": [
			{"code": "3Lz+3T", "marks": [1, 2, 3, 2, 1]},
			{"code": "CCoSp4", "marks": [0, 1, 0, -1, 2]},
			{"code": "3F!<", "secondHalf": true, "marks": [-2, -1, -2, -3, -2]}],
		"components": [
			{"component": "COMPOSITION", "marks": [8.25, 8.5, 8, 7.75, 8.25]},
			{"component": "PRESENTATION", "marks": [8, 8.25, 8.5, 8, 8.75]},
			{"component": "SKATING_SKILLS", "marks": [8.5, 8.25, 8, 8.25, 8.5]}],
		"deductions": [{"kind": "FALL", "count": 1}, {"kind": "OTHER", "value": "-0.50", "note": "invented"}]}`,
	batchCall: `{"segments": [{
		"category": "senior-women", "segment": "free-skating",
		"elements": [{"code": "3Lz", "marks": [1]}],
		"components": [{"component": "COMPOSITION", "marks": [8]}, {"component": "PRESENTATION", "marks": [8]}, {"component": "SKATING_SKILLS", "marks": [8]}]}]}`,
	valueCall: `{
		"category": "senior-men", "segment": "free-skating",
		"elements": [{"code": "3Lz+3T"}, {"code": "4S", "secondHalf": true}, {"code": "CCoSp4"}]}`,
	levelCall: `{
		"category": "senior-women", "segment": "free-skating",
		"elements": [
			{"spin": {"flying": "PLAIN", "feet": [
				{"positions": [{"position": "CAMEL", "variation": "CAMEL_UPWARD", "revolutions": 8}]},
				{"change": "STEP", "positions": [
					{"position": "SIT", "variation": "SIT_FORWARD", "revolutions": 3, "features": ["DIFFICULT_BLADE"]},
					{"position": "LAYBACK", "lean": "SIDEWAYS", "revolutions": 2.5}]}]}},
			{"stepSequence": {"turns": [{"type": "BRACKET", "clockwise": 1, "counterclockwise": 1}, {"type": "ROCKER", "clockwise": 2}], "bodyMovement": true}}]}`,
	placesCall: `{
		"segment": "free-skating",
		"entries": [
			{"id": "a", "segmentScore": "120.50", "elementScore": "60.00", "componentScore": "60.50"},
			{"id": "b", "segmentScore": "118.00"}]}`,
	rankCall: `{
		"category": "senior-women",
		"competitors": [
			{"id": "a", "segments": [{"segment": "short-program", "segmentScore": "60.00"}, {"segment": "free-skating", "segmentScore": "120.00"}]},
			{"id": "b", "segments": [{"segment": "short-program", "segmentScore": "61.00"}]}]}`,
	checkCall: `{
		"category": "senior-women", "segment": "free-skating",
		"elements": [{"code": "3Lz+3T", "grade": 1.5}, {"code": "CCoSp4"}, {"code": "2A", "secondHalf": true}],
		"components": [{"component": "COMPOSITION", "mark": 8.25}, {"component": "PRESENTATION", "mark": 8}, {"component": "SKATING_SKILLS", "mark": 8.12}]}`,
}

var long = strings.Repeat("Zamboni", 300)

// many returns a list of the same JSON value so many times.
func many(value string, n int) string {
	return "[" + strings.Repeat(value+",", n-1) + value + "]"
}

// fieldChange is a good request with one value changed: the path and the JSON
// that comes there ("-" takes away what is there), the reason, the field when it
// is another one than the path, and what the words must hold.
type fieldChange struct{ call, path, value, reason, field, says string }

// wrongFields makes a request of each change. Where the message can hold the
// value it goes over gRPC too.
func wrongFields(t *testing.T) []wrong {
	t.Helper()
	var list []wrong
	for _, c := range slices.Concat(scoreChanges, otherChanges, programChanges) {
		season, body := goodSeason, good[c.call]
		if body == "" {
			t.Fatalf("there is no good request of %s", c.call)
		}
		if c.path == "season" {
			season = c.value
		} else {
			body = change(t, body, c.path, c.value)
		}
		field := c.field
		if field == "" {
			field = c.path
		}
		shown := c.value
		if len(shown) > 40 {
			shown = shown[:40] + "…"
		}
		list = append(list, wrong{
			name: c.call + " " + c.path + " = " + shown, verb: http.MethodPost, path: "/v1/seasons/" + season + "/" + c.call,
			kind: "application/json", body: body, status: statusOf(c.reason), reason: c.reason, field: field, says: c.says,
			rpc: asRPC(c.call, season, body),
		})
	}
	return list
}

// statusOf returns the HTTP status of a reason, as the contract's comments say.
func statusOf(reason string) int {
	switch reason {
	case "SEASON_UNKNOWN", "ELEMENT_NOT_FOUND", "NOT_FOUND":
		return http.StatusNotFound
	case "BODY_TOO_LARGE":
		return http.StatusRequestEntityTooLarge
	case "METHOD_NOT_ALLOWED":
		return http.StatusMethodNotAllowed
	case "CONTENT_TYPE_UNSUPPORTED":
		return http.StatusUnsupportedMediaType
	default:
		return http.StatusBadRequest // FAILED_PRECONDITION too
	}
}
