package form

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/errs"
)

// Every fault of a body is found, each at its path and with what is allowed.
func TestDiagnose(t *testing.T) {
	for _, c := range []struct {
		body string
		want map[string]string // path -> a part of its message
	}{
		{`{"categry":"x"}`, map[string]string{"categry": "did you mean category?"}},
		{`{"zzzzzzzz":{"a":[1,{"b":2}]},"segment":4}`, map[string]string{"zzzzzzzz": "allowed are: season,", "segment": "the number 4; want a text"}},
		{`{"elements":[{"code":1,"marks":[1,null,"x",1.5,3000000000,[1],{}]},5,null]}`, map[string]string{
			"elements[0].code": "want a text", "elements[0].marks[1]": "null", "elements[0].marks[2]": `the text "x"; want a whole number`,
			"elements[0].marks[3]": "the number 1.5; want a whole number", "elements[0].marks[4]": "3000000000",
			"elements[0].marks[5]": "a list; want a whole number", "elements[0].marks[6]": "an object; want a whole number",
			"elements[1]": "the number 5; want an object", "elements[2]": "null",
		}},
		{`{"elements":{},"components":[{"component":"COMPOSITION1","marks":["eight",1e999]},{"component":true}],"explain":"yes"}`, map[string]string{
			"elements": "an object; want a list", "components[0].component": "did you mean COMPOSITION?", "components[0].marks[0]": "want a number",
			"components[0].marks[1]": "want a number", "components[1].component": "want one of: SKATING_SKILLS", "explain": "want true or false",
		}},
		{`{"elements":[{"marks":[2.00000000000000000001,2.00000000000000000000,"1e2",2147483648,"-1e99",1e999]}]}`, map[string]string{
			"elements[0].marks[0]": "the number 2.00000000000000000001; want a whole number", "elements[0].marks[3]": "want a whole number, from -2147483648 to 2147483647",
			"elements[0].marks[4]": "from -2147483648", "elements[0].marks[5]": "to 2147483647",
		}},
		{`{"season":"\ud83d\ude00","category":"\ud800","elements":[{"code":"a\udfff"}],"components":[{"component":"\ud800"}]}`, map[string]string{
			"category": "half a character", "elements[0].code": "half a character", "components[0].component": "allowed are: SKATING_SKILLS",
		}},
		{`{"category":"a","category":"b"}`, map[string]string{"category": "twice"}},
		{`[]`, map[string]string{"body": "a list; want an object"}},
		{`7`, map[string]string{"body": "the number 7; want an object"}},
		{`{"category":"a"`, map[string]string{"body": "ends too early (line 1, column 16)"}},
		{"{\n \"category\": x}", map[string]string{"body": "line 2"}},
		{`{} {}`, map[string]string{"body": "follows the end"}},
		{"{\"category\":\"\xff\"}", map[string]string{"body": "UTF-8"}},
		{`{"` + strings.Repeat("n", 5000) + `":1}`, map[string]string{strings.Repeat("n", 40) + "…": "allowed are"}},
		{`{"elements":[{"code":` + strings.Repeat("9", 60000) + `}]}`, map[string]string{"elements[0].code": strings.Repeat("9", 40) + "…;"}},
	} {
		got := map[string]string{}
		for _, f := range diagnose([]byte(c.body), (&pb.ScoreSegmentRequest{}).ProtoReflect().Descriptor()) {
			got[f.Field] = f.Message
			if len(f.Message) > 400 {
				t.Errorf("%.60s: a message of %d bytes", c.body, len(f.Message))
			}
		}
		if !slices.Equal(slices.Sorted(maps.Keys(got)), slices.Sorted(maps.Keys(c.want))) {
			t.Errorf("%.60s: found %v", c.body, got)
		}
		for path, part := range c.want {
			if !strings.Contains(got[path], part) {
				t.Errorf("%.60s: %s: %q does not tell %q", c.body, path, got[path], part)
			}
		}
	}
}

func TestDiagnoseOneof(t *testing.T) {
	faults := diagnose([]byte(`{"elements":[{"spin":{},"stepSequence":{}}]}`), (&pb.CallLevelsRequest{}).ProtoReflect().Descriptor())
	if len(faults) != 1 || faults[0].Field != "elements[0].stepSequence" || !strings.Contains(faults[0].Message, "stands beside spin") {
		t.Errorf("%v", faults)
	}
}

// Messages that JSON writes as a text are read as the decoder reads them.
func TestDiagnoseTexts(t *testing.T) {
	attempts, tokens := (&pb.AddAttemptsRequest{}).ProtoReflect().Descriptor(), (&pb.CreateTokenRequest{}).ProtoReflect().Descriptor()
	for _, c := range []struct {
		message protoreflect.MessageDescriptor
		body    string
		want    string // "" = no fault
	}{
		{attempts, `{"attempts":[{"time":"2026-03-14T10:00:00.5+01:00"}]}`, ""},
		{attempts, `{"attempts":[{"time":null}]}`, ""},
		{attempts, `{"attempts":[{"time":"2026-03-14"}]}`, `attempts[0].time: is the text "2026-03-14"; want a text such as "2026-03-14T10:00:00Z"`},
		{attempts, `{"attempts":[{"time":{"seconds":1},"note":"a"}]}`, `attempts[0].time: is an object; want a text such as "2026-03-14T10:00:00Z"`},
		{tokens, `{"lifetime":"90s"}`, ""},
		{tokens, `{"lifetime":"1h"}`, `lifetime: is the text "1h"; want a text such as "90s"`},
		{tokens, `{"lifetime":3600}`, `lifetime: is the number 3600; want a text such as "90s"`},
		{tokens, `{"expectedSequence":1e30}`, `expectedSequence: is the number 1e30; want a whole number, 0 or more, at most 18446744073709551615`},
		{tokens, `{"expectedSequence":-1}`, `expectedSequence: is the number -1; want a whole number, 0 or more`},
	} {
		got := ""
		for _, f := range diagnose([]byte(c.body), c.message) {
			got += f.Field + ": " + f.Message
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.body, got, c.want)
		}
	}
}

func TestDiagnoseStopsAfterMany(t *testing.T) {
	faults := diagnose([]byte(`{"elements":[`+strings.Repeat(`{"x":1},`, 900)+`{}]}`), (&pb.ScoreSegmentRequest{}).ProtoReflect().Descriptor())
	if len(faults) < maxFaults || len(faults) > maxFaults+1 {
		t.Errorf("%d faults", len(faults))
	}
}

func TestMeasure(t *testing.T) {
	most := Limits{values: 50, items: 10, depth: 4}
	for body, want := range map[string]string{
		`{"a":[1,2,3]}`:             "",
		`[[[[]]]]`:                  "",
		`[[[[[]]]]]`:                "BODY_TOO_DEEP",
		`["[[[[[[{{{{", "\"[[[[["]`: "",
		`[1,2,3,4,5,6,7,8,9,10]`:    "",
		`[1,2,3,4,5,6,7,8,9,10,11]`: "TOO_MANY_ITEMS",
		`[` + strings.Repeat(`[1,2,3,4,5,6],`, 9) + `0]`: "TOO_MANY_ITEMS",
		`]]]]]}}}}`:     "",
		`]},]`:          "",
		`"unfinished \`: "",
		``:              "",
	} {
		got := ""
		if x := measure([]byte(body), most); x != nil {
			got = x.reason.String()
		}
		if got != want {
			t.Errorf("%s: %s, want %s", body, got, want)
		}
	}
}

func TestPathAt(t *testing.T) {
	body := `{"a":1,"segments":[{"x":{}},{"elements":[{},{"marks":[1,2,HERE]}]}]}`
	if got := pathAt([]byte(body), strings.Index(body, "HERE")-1); got != "segments[1].elements[1].marks" {
		t.Errorf("%s", got)
	}
}

func TestRoutesMatch(t *testing.T) {
	list, err := RoutesOf(pb.File_rinktally_v1_rules_proto, pb.File_rinktally_v1_scoring_proto)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ method, path, want string }{
		{"GET", "/v1/seasons", "ListSeasons map[] []"},
		{"GET", "/v1/seasons/2016-17", "GetSeason map[season:2016-17] []"},
		{"GET", "/v1/seasons/2016-17/elements/3Lz%3C", "GetElement map[code:3Lz%3C season:2016-17] []"},
		{"GET", "/v1/seasons:compare", "CompareSeasons map[] []"},
		{"POST", "/v1/seasons/x/segments:score", "ScoreSegment map[season:x] []"},
		{"GET", "/v1/seasons/x/segments:score", "- map[] [POST]"},
		{"DELETE", "/v1/seasons/x", "- map[] [GET]"},
		{"GET", "/v1/seasons/", "- map[] []"},
		{"GET", "/v1/seasons/x/", "- map[] []"},
		{"GET", "/v1/seasons//elements", "- map[] []"},
		{"GET", "/v1/seasons/x:y", "- map[] []"},
		{"GET", "/v1/seasons/x/elements/a/b", "- map[] []"},
		{"GET", "/v1/seasons/x/elements/a%2Fb", "- map[] []"},
		{"GET", "/v1/seasons/x/elements/a%2f", "- map[] []"},
		{"POST", "/v1/seasons/x/segments:nothing", "- map[] []"},
		{"GET", "/", "- map[] []"},
		{"GET", "", "- map[] []"},
	} {
		route, variables, allowed := list.Match(c.method, c.path)
		name := "-"
		if route != nil {
			name = route.Call
		}
		if got := fmt.Sprintf("%s %v %v", name, variables, allowed); got != c.want {
			t.Errorf("%s %s: %s, want %s", c.method, c.path, got, c.want)
		}
	}
}

// What is no number and no document stands in no path, and is reported as what it is.
func TestPathVariablesHaveTheirType(t *testing.T) {
	list, err := RoutesOf(pb.File_rinktally_v1_event_proto)
	if err != nil {
		t.Fatal(err)
	}
	const performance = "/v1/events/cup/categories/senior-women/segments/short-program/performances/1"
	for _, c := range []struct{ method, path, want string }{
		{"PUT", performance + "/judges/x/elementMarks", `judge: is "x"; want a whole number`},
		{"PUT", performance + "/judges/1/elementMarks", ""},
		{"DELETE", performance + "/elements/99999999999", `element: is "99999999999"; want a whole number, from -2147483648 to 2147483647`},
		{"GET", "/v1/events/cup/categories/senior-women/documents/RESULT", `document: is "RESULT"; want one of: STARTING_ORDER, SEGMENT_RESULT, SCORE_SHEETS, FINAL_RESULT, PANEL_SHEETS`},
		{"GET", "/v1/events/cup/categories/senior-women/documents/4", ""},
	} {
		route, variables, _ := list.Match(c.method, c.path)
		got := ""
		if err := route.CheckPath(variables); err != nil {
			got = errs.Text(err)
		}
		if got != c.want {
			t.Errorf("%s %s: %q, want %q", c.method, c.path, got, c.want)
		}
	}
}

// A query names enums as bodies do, by name or by number.
func TestQueryTakesEnums(t *testing.T) {
	list, err := RoutesOf(pb.File_rinktally_v1_event_proto)
	if err != nil {
		t.Fatal(err)
	}
	route, _, _ := list.Match("GET", "/v1/events/cup/categories/senior-women/documents/FINAL_RESULT")
	for query, fits := range map[string]bool{`format="PDF"`: false, `format=1,"x":2`: false, "format=CSV": true, "format=PDF": true, "format=2": true, "format=csv": false, "format=": false, "format=2.5": false} {
		if err := route.CheckQuery(query); (err == nil) != fits {
			t.Errorf("%s: %v", query, err)
		}
	}
}
