package rest_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// wrong is a request that cannot be answered, and what its answer must say.
type wrong struct {
	name, method, path, body string
	headers                  []string
	status                   int
	reason                   string
	field                    string // one of the faults must be here; "" = the call as a whole
}

// sound is a request that can be answered; each wrong one changes one thing.
const soundScore = `{"category":"senior-women","segment":"short-program",
 "elements":[{"code":"3Lz+3T","marks":[2,2,2,1,3]},{"code":"LSp4","marks":[1,1,1,1,1]}],
 "components":[{"component":"COMPOSITION","marks":[8.25,8.5,8.25,8.0,8.5]},{"component":"PRESENTATION","marks":[8,8,8,8,8]},{"component":"SKATING_SKILLS","marks":[8,8,8,8,8]}],
 "deductions":[{"kind":"FALL","count":1}]}`

const soundLevel = `{"category":"senior-women","segment":"free-skating","elements":[{"spin":{"feet":[{"positions":[{"position":"CAMEL","variation":"CAMEL_UPWARD","revolutions":8}]}]}},{"stepSequence":{"turns":[{"type":"BRACKET","clockwise":1}]}}]}`

const soundValue = `{"category":"senior-men","segment":"free-skating","elements":[{"code":"3Lz+3T"},{"code":"3F<","secondHalf":true}]}`

const (
	scorePath = "/v1/seasons/2025-26/segments:score"
	levelPath = "/v1/seasons/2025-26/levels:call"
	valuePath = "/v1/seasons/2025-26/elements:value"
	batchPath = "/v1/seasons/2025-26/segments:batchScore"
)

// set changes one value of a JSON text, named by a path such as
// elements[0].marks[2]; nil takes it out.
func set(t *testing.T, text, path string, value any) string {
	t.Helper()
	var root any
	if err := json.Unmarshal([]byte(text), &root); err != nil {
		t.Fatal(err)
	}
	steps := regexp.MustCompile(`[^.\[\]]+`).FindAllString(path, -1)
	at := root
	for i, step := range steps {
		last := i == len(steps)-1
		switch node := at.(type) {
		case map[string]any:
			switch {
			case last && value == nil:
				delete(node, step)
			case last:
				node[step] = value
			}
			at = node[step]
		case []any:
			var index int
			if _, err := fmt.Sscan(step, &index); err != nil {
				t.Fatal(err)
			}
			if last {
				node[index] = value
			}
			at = node[index]
		default:
			t.Fatalf("%s is not in %s", path, text)
		}
	}
	out, err := json.Marshal(root)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// wrongRequests are the wrong requests of all kinds.
func wrongRequests(t *testing.T) []wrong {
	var list []wrong
	post := func(name, path, body, reason, field string) {
		list = append(list, wrong{name: name, method: http.MethodPost, path: path, body: body, status: 400, reason: reason, field: field})
	}
	get := func(path string, status int, reason, field string) {
		list = append(list, wrong{name: "query", method: http.MethodGet, path: path, status: status, reason: reason, field: field})
	}

	// Seasons, paths, methods.
	for _, season := range []string{"1998-99", "2016", "2016-2017", "x", "2025-26%20", "CURRENT", "..2025-26", "%00", strings.Repeat("9", 300), "%F0%9F%9B%B7"} {
		for path, body := range map[string]string{"levels:call": soundLevel, "elements:value": soundValue, "segments:score": soundScore, "segments:batchScore": `{"segments":[` + soundScore + `]}`} {
			list = append(list, wrong{"season", http.MethodPost, "/v1/seasons/" + season + "/" + path, body, nil, 404, "SEASON_UNKNOWN", "season"})
		}
		get("/v1/seasons/"+season, 404, "SEASON_UNKNOWN", "season")
		get("/v1/seasons:compare?from="+season+"&to=2025-26", 404, "SEASON_UNKNOWN", "from")
	}
	for _, path := range []string{"/v1/", "/v1/season", "/v1/seasons/2025-26/", "/v1/seasons/2025-26/segments", "/v1/seasons/2025-26/segments:scor", "/v2/seasons", "/nothing", "/v1/seasons/2025-26/elements/3Lz/more"} {
		get(path, 404, "NOT_FOUND", "")
	}
	for _, c := range [][2]string{
		{http.MethodGet, scorePath}, {http.MethodPut, scorePath}, {http.MethodDelete, levelPath}, {http.MethodPatch, valuePath}, {http.MethodOptions, batchPath},
		{http.MethodPost, "/v1/seasons"}, {http.MethodDelete, "/v1/seasons/2025-26"}, {http.MethodPost, "/v1/seasons:compare"}, {http.MethodPost, "/livez"}, {http.MethodDelete, "/"}, {http.MethodPut, "/openapi.json"},
	} {
		list = append(list, wrong{name: "method", method: c[0], path: c[1], status: 405, reason: "METHOD_NOT_ALLOWED"})
	}
	for _, kind := range []string{"text/xml", "text/plain", "application/xml", "multipart/form-data; boundary=x", "application/json; charset=latin1", "nonsense;;"} {
		list = append(list, wrong{"type", http.MethodPost, scorePath, soundScore, []string{"Content-Type", kind}, 415, "CONTENT_TYPE_UNSUPPORTED", ""})
	}
	list = append(list, wrong{"encoding", http.MethodPost, scorePath, soundScore, []string{"Content-Encoding", "gzip"}, 415, "CONTENT_TYPE_UNSUPPORTED", ""})

	// Queries.
	get("/v1/seasons/2025-26/elements?kind=jumps", 400, "FIELD_INVALID", "kind")
	get("/v1/seasons/2025-26/elements?discipline=singel", 400, "FIELD_INVALID", "discipline")
	get("/v1/seasons/2025-26/elements?pageSize=-1", 400, "FIELD_INVALID", "pageSize")
	get("/v1/seasons/2025-26/elements?pageSize=many", 400, "FIELD_INVALID", "pageSize")
	get("/v1/seasons/2025-26/elements?pageSize=99999999999", 400, "FIELD_INVALID", "pageSize")
	get("/v1/seasons/2025-26/elements?pageSize=1&pageSize=2", 400, "FIELD_INVALID", "pageSize")
	get("/v1/seasons/2025-26/elements?pageToken=nonsense", 400, "PAGE_TOKEN_INVALID", "pageToken")
	get("/v1/seasons/2025-26/elements?kin=jump", 400, "FIELD_UNKNOWN", "kin")
	get("/v1/seasons/2025-26/elements?season=2016-17", 400, "FIELD_UNKNOWN", "season")
	get("/v1/seasons/2025-26/elements?%zz=1", 400, "FIELD_INVALID", "")
	get("/v1/seasons?x=1", 400, "FIELD_UNKNOWN", "x")
	get("/v1/seasons/2025-26?revision=sha256:00", 400, "REVISION_MISMATCH", "revision")
	get("/v1/seasons:compare", 400, "FIELD_REQUIRED", "to")
	get("/v1/seasons:compare?from=2016-17&to=2025-26&discipline=x", 400, "FIELD_INVALID", "discipline")
	get("/v1/seasons/2016-17/elements/9T", 404, "ELEMENT_NOT_FOUND", "code")
	get("/v1/seasons/2016-17/elements/3Lz%2B3T", 400, "CODE_INVALID", "code")
	get("/v1/seasons/2016-17/elements/3Lz*", 400, "CODE_INVALID", "code")
	get("/v1/seasons/2016-17/elements/%F0%9F%9B%B7", 400, "CODE_INVALID", "code")
	get("/v1/seasons/2016-17/elements/3Lz?category=nobody", 400, "CATEGORY_UNKNOWN", "category")
	list = append(list, wrong{"query with a body", http.MethodPost, scorePath + "?explain=true", soundScore, nil, 400, "FIELD_UNKNOWN", "explain"})

	// What is no JSON, or too much of it.
	for _, body := range []string{"{", "}", `{"category"`, `{"category":}`, `{"category":"a",}`, `{'category':'a'}`, "nonsense", `{"category":"a"} x`, "{}{}", "\x00", "{\"category\":\"\xff\"}", `{"category":NaN}`, `"\ud800"`[:4]} {
		post("no JSON", scorePath, body, "JSON_INVALID", "")
	}
	for _, body := range []string{"[]", "7", `"text"`, "true", "null"} {
		post("no object", valuePath, body, "FIELD_INVALID", "")
	}
	post("deep lists", scorePath, strings.Repeat("[", 33), "BODY_TOO_DEEP", "")
	post("deep objects", scorePath, strings.Repeat(`{"elements":`, 40), "BODY_TOO_DEEP", "")
	post("very deep", levelPath, strings.Repeat("[", 500_000), "BODY_TOO_DEEP", "")
	post("many elements", scorePath, `{"elements":[`+strings.Repeat("{},", 1000)+`{}]}`, "TOO_MANY_ITEMS", "elements")
	post("many marks", scorePath, `{"elements":[{"marks":[`+strings.Repeat("1,", 1000)+`1]}]}`, "TOO_MANY_ITEMS", "elements[0].marks")
	post("many segments", batchPath, `{"segments":[`+strings.Repeat("{},", 1000)+`{}]}`, "TOO_MANY_ITEMS", "segments")
	post("41 elements", valuePath, set(t, soundValue, "elements", make([]map[string]string, 41)), "FIELD_INVALID", "elements[0]")
	for path, size := range map[string]int{scorePath: maxBody, levelPath: maxBody, valuePath: maxBody, batchPath: maxBatch} {
		list = append(list, wrong{"too large", http.MethodPost, path, `{"category":"` + strings.Repeat("x", size) + `"}`, nil, 413, "BODY_TOO_LARGE", ""})
	}
	list = append(list, wrong{"3 MB of objects", http.MethodPost, scorePath, `{"elements":[` + strings.Repeat("{},", 1<<20) + `{}]}`, nil, 413, "BODY_TOO_LARGE", ""})

	// One wrong value in a sound body.
	change := func(path, sound, field string, value any, reason, at string) {
		post(fmt.Sprintf("%s = %.40v", field, value), path, set(t, sound, field, value), reason, at)
	}
	for _, value := range []any{5, true, []any{}, map[string]any{}} { // wrong types
		for _, field := range []string{"category", "segment", "elements[0].code", "revision", "deductions[0].note"} {
			change(scorePath, soundScore, field, value, "FIELD_INVALID", field)
		}
	}
	for _, value := range []any{"x", 1.5, true, nil, []any{1}, map[string]any{}, 1e10} {
		if value != nil {
			change(scorePath, soundScore, "elements[0].marks[2]", value, "FIELD_INVALID", "elements[0].marks[2]")
			change(scorePath, soundScore, "deductions[0].count", value, "FIELD_INVALID", "deductions[0].count")
		}
	}
	post("null in marks", scorePath, strings.Replace(soundScore, "[2,2,2,1,3]", "[2,null,2,1,3]", 1), "FIELD_INVALID", "elements[0].marks[1]")
	for _, value := range []any{"x", true, []any{8}, map[string]any{}} {
		change(scorePath, soundScore, "components[1].marks[3]", value, "FIELD_INVALID", "components[1].marks[3]")
		change(levelPath, soundLevel, "elements[0].spin.feet[0].positions[0].revolutions", value, "FIELD_INVALID", "elements[0].spin.feet[0].positions[0].revolutions")
	}
	for _, field := range []string{"categry", "Category", "second_half2", "elements[0].mark", "components[0].mark", "deductions[0].kinds"} {
		change(scorePath, soundScore, field, 1, "FIELD_UNKNOWN", field)
	}
	for _, field := range []string{"elements[0].spinn", "elements[0].spin.foot", "elements[0].spin.feet[0].position", "elements[0].spin.feet[0].positions[0].lena", "elements[1].stepSequence.turn"} {
		change(levelPath, soundLevel, field, 1, "FIELD_UNKNOWN", field)
	}
	change(scorePath, soundScore, "season", "2016-17", "FIELD_INVALID", "season")
	change(scorePath, soundScore, "revision", "sha256:00", "REVISION_MISMATCH", "revision")
	post("twice", scorePath, strings.Replace(soundScore, `"segment":`, `"category":"x","segment":`, 1), "FIELD_INVALID", "category")

	// Category and segment.
	for path, sound := range map[string]string{scorePath: soundScore, levelPath: soundLevel, valuePath: soundValue} {
		for _, value := range []string{"senior-woman", "SENIOR-WOMEN", " ", "senior", strings.Repeat("x", 1000)} {
			change(path, sound, "category", value, "CATEGORY_UNKNOWN", "category")
			change(path, sound, "segment", value, "SEGMENT_UNKNOWN", "segment")
		}
		for _, field := range []string{"category", "segment", "elements"} {
			change(path, sound, field, nil, "FIELD_REQUIRED", field)
		}
		change(path, sound, "segment", "rhythm-dance", "SEGMENT_UNKNOWN", "segment")
	}

	// Codes.
	for _, code := range []string{"", "?", "3", "lz", "3Lz++3T", "+3T", "3Lz+", "3Lz+StSq3", "3T<<<", "3Te", "3Lz!e", "CCoSpV", strings.Repeat("3T+", 40) + "3T", "3Lz 3T", "3Lz\n"} {
		change(scorePath, soundScore, "elements[0].code", code, "CODE_INVALID", "elements[0].code")
		change(valuePath, soundValue, "elements[1].code", code, "CODE_INVALID", "elements[1].code")
	}
	for _, code := range []string{"CCoSp9", "XSp4", "5A", "ChSq4"} {
		change(valuePath, soundValue, "elements[0].code", code, "ELEMENT_UNKNOWN", "elements[0].code")
	}

	// Marks, judges, components, deductions.
	for _, mark := range []any{6, -6, 100, -2147483648, 2147483647} {
		change(scorePath, soundScore, "elements[1].marks[4]", mark, "MARK_OUT_OF_RANGE", "elements[1].marks[4]")
	}
	for _, mark := range []any{8.3, 8.333, 8.2500001, 0.255, 9.999} {
		change(scorePath, soundScore, "components[2].marks[0]", mark, "MARK_OFF_GRID", "components[2].marks[0]")
	}
	for _, mark := range []any{0, -1, 0.1, 10.25, 99, 1e300, "NaN", "Infinity"} {
		change(scorePath, soundScore, "components[2].marks[0]", mark, "MARK_OUT_OF_RANGE", "components[2].marks[0]")
	}
	for _, marks := range []any{[]int{}, []int{1}, []int{1, 1, 1, 1}, []int{1, 1, 1, 1, 1, 1}} {
		change(scorePath, soundScore, "elements[0].marks", marks, "PANEL_SIZE_MISMATCH", "elements[0].marks")
	}
	change(scorePath, soundScore, "components[1].marks", []int{8, 8, 8}, "PANEL_SIZE_MISMATCH", "components[1].marks")
	change(scorePath, soundScore, "components[1]", map[string]any{"component": "TIMING", "marks": []int{8, 8, 8, 8, 8}}, "COMPONENT_UNKNOWN", "components[1].component")
	change(scorePath, soundScore, "components[1].component", "COMPOSITION", "COMPONENT_DUPLICATE", "components[1].component")
	change(scorePath, soundScore, "components", nil, "COMPONENT_MISSING", "components")
	for _, word := range []any{"SKATING", "", "skating_skills"} {
		change(scorePath, soundScore, "components[2].component", word, "FIELD_INVALID", "components[2].component")
	}
	for list, values := range map[string][][]int{"absentJudges": {{0}, {-1}, {99}, {2, 2}}, "countedJudges": {{0}, {6}, {1, 1}, {1000000}}} {
		for _, judges := range values {
			change(scorePath, soundScore, list, judges, "JUDGE_UNKNOWN", fmt.Sprintf("%s[%d]", list, len(judges)-1))
		}
	}
	change(scorePath, soundScore, "elements[0].missingMarks", []map[string]int{{"judge": 9}}, "JUDGE_UNKNOWN", "elements[0].missingMarks[0].judge")
	for _, count := range []int{0, -1, 51} {
		change(scorePath, soundScore, "deductions[0].count", count, "DEDUCTION_VALUE", "deductions[0].count")
	}
	for _, value := range []string{"1.00", "-1.005", "minus one", "-1000000", "0.00", ""} {
		change(scorePath, soundScore, "deductions[0]", map[string]any{"kind": "OTHER", "value": value}, "DEDUCTION_VALUE", "deductions[0].value")
	}
	change(scorePath, soundScore, "deductions[0].value", "-1.00", "DEDUCTION_VALUE", "deductions[0].value")
	change(scorePath, soundScore, "deductions[0].kind", "FALLS", "FIELD_INVALID", "deductions[0].kind")

	// What was skated.
	const position = "elements[0].spin.feet[0].positions[0]"
	for _, revolutions := range []any{-1, 2.3, 0.25, 1000, 1e300, "NaN"} {
		change(levelPath, soundLevel, position+".revolutions", revolutions, "REVOLUTIONS_INVALID", position+".revolutions")
	}
	for _, variation := range []string{"SIT_FORWARD", "BIELLMANN", "LAYBACK", "NON_BASIC"} {
		change(levelPath, soundLevel, position+".variation", variation, "VARIATION_INVALID", position+".variation")
	}
	change(levelPath, soundLevel, position+".position", nil, "POSITION_INVALID", position+".position")
	change(levelPath, soundLevel, position+".position", "CAMMEL", "FIELD_INVALID", position+".position")
	change(levelPath, soundLevel, position+".lean", "SIDEWAYS", "FIELD_INVALID", position+".lean")
	change(levelPath, soundLevel, position+".edges", "BI_FO", "FIELD_INVALID", position+".edges")
	change(levelPath, soundLevel, position+".features", []string{"JUMP_WITHIN", "JUMP_WITHIN"}, "FIELD_INVALID", position+".features[1]")
	change(levelPath, soundLevel, "elements[0].spin.feet[0].change", "JUMP", "FIELD_INVALID", "elements[0].spin.feet[0].change")
	change(levelPath, soundLevel, "elements[0].spin.feet", []any{}, "FIELD_REQUIRED", "elements[0].spin.feet")
	change(levelPath, soundLevel, "elements[0].spin.feet[0].positions", []any{}, "FIELD_REQUIRED", "elements[0].spin.feet[0].positions")
	change(levelPath, soundLevel, "elements[0]", map[string]any{}, "FIELD_REQUIRED", "elements[0]")
	change(levelPath, soundLevel, "elements[0].stepSequence", map[string]any{}, "FIELD_INVALID", "elements[0].stepSequence")
	change(levelPath, soundLevel, "elements[1].stepSequence.turns[0].clockwise", -1, "FIELD_INVALID", "elements[1].stepSequence.turns[0].clockwise")
	change(levelPath, soundLevel, "elements[1].stepSequence.turns[0].type", "SPIN", "FIELD_INVALID", "elements[1].stepSequence.turns[0].type")
	post("empty batch", batchPath, `{}`, "FIELD_REQUIRED", "segments")
	return list
}

// Each wrong request gets a 4xx with a reason of the contract, a path where a
// field is at fault, and a message a person can act on; no more of the input is
// shown than a line, and the server still answers afterwards.
func TestWrongRequests(t *testing.T) {
	server := serve(t, nil)
	list := wrongRequests(t)
	if len(list) < 200 {
		t.Errorf("only %d wrong requests", len(list))
	}
	for _, sound := range [][2]string{{scorePath, soundScore}, {levelPath, soundLevel}, {valuePath, soundValue}} {
		if res, body := ask(t, server, http.MethodPost, sound[0], sound[1]); res.StatusCode != http.StatusOK {
			t.Fatalf("the sound request is wrong: %d %s", res.StatusCode, body)
		}
	}
	for _, c := range list {
		t.Run(c.name, func(t *testing.T) {
			res, data := ask(t, server, c.method, c.path, c.body, c.headers...)
			shown := fmt.Sprintf("%s %.80s %.160s", c.method, c.path, c.body)
			if res.StatusCode != c.status {
				t.Fatalf("%s: %d, want %d: %.600s", shown, res.StatusCode, c.status, data)
			}
			if kind := res.Header.Get("Content-Type"); kind != "application/json" {
				t.Errorf("%s: type %s", shown, kind)
			}
			f := readFault(t, data)
			if pb.ErrorReason_Value_value[f.reason()] == 0 {
				t.Errorf("%s: reason %q is not in the contract", shown, f.reason())
			}
			fields := f.fields()
			if c.field == "" && f.reason() != c.reason {
				t.Errorf("%s: reason %s, want %s: %.600s", shown, f.reason(), c.reason, data)
			}
			if c.field != "" && fields[c.field] != c.reason {
				t.Errorf("%s: %s has reason %q, want %s: %.600s", shown, c.field, fields[c.field], c.reason, data)
			}
			if len(f.Message) < 15 || len(data) > 40_000 || len(f.Message) > 1000 {
				t.Errorf("%s: a message of %d bytes, a body of %d: %.200s", shown, len(f.Message), len(data), f.Message)
			}
			for _, d := range f.Details {
				for _, v := range d.FieldViolations {
					if v.Description == "" || pb.ErrorReason_Value_value[v.Reason] == 0 {
						t.Errorf("%s: violation %v", shown, v)
					}
				}
			}
		})
	}
	if res, body := ask(t, server, http.MethodPost, scorePath, soundScore); res.StatusCode != http.StatusOK {
		t.Errorf("afterwards the server answers %d %s", res.StatusCode, body)
	}
	t.Logf("%d wrong requests", len(list))
}
