package integration_test

import (
	"net/http"
	"strings"
)

// wrongBodies are bodies that are no JSON, too much of it, or not of the right
// form. Only REST can express them.
func wrongBodies() []wrong {
	var list []wrong
	add := func(call, name, body, reason, field, says string) {
		list = append(list, wrong{
			name: call + " body: " + name, verb: http.MethodPost, path: goodPath(call), kind: "application/json",
			body: body, status: statusOf(reason), reason: reason, field: field, says: says,
		})
	}
	whole := good[scoreCall]
	cut := func(n int) string { return whole[:n] }
	for name, body := range map[string]string{
		"one brace": "{", "cut in a name": cut(10), "cut in a list": cut(150), "cut before the end": cut(len(whole) - 1),
		"cut in a text": `{"category": "senior`,
	} {
		add(scoreCall, name, body, "JSON_INVALID", "body", "too early")
	}
	for name, body := range map[string]string{
		"a word": "hello", "XML": "<segment/>", "single quotes": "{'category': 'senior-women'}", "comma at the end": `{"category": "senior-women",}`,
		"two commas": `{"elements": [,,]}`, "name without quotes": `{category: "senior-women"}`, "a comment": "{} // nothing else",
		"leading zero": `{"elements": [{"code": "3T", "marks": [01]}]}`, "plus sign": `{"elements": [{"code": "3T", "marks": [+1]}]}`,
		"bare NaN": `{"components": [{"component": "COMPOSITION", "marks": [NaN]}]}`, "bare Infinity": `{"components": [{"component": "COMPOSITION", "marks": [-Infinity]}]}`,
		"bracket for brace": `{"elements": [}`, "two objects": `{}{}`, "words after the end": `{} hello`, "a line break in a text": "{\"category\": \"a\nb\"}",
		"bad escape": `{"category": "\q"}`, "zero bytes": "\x00\x00\x00", "a colon too many": `{"category":: "a"}`, "hexadecimal": `{"elements": [{"code": "3T", "marks": [0x1]}]}`,
	} {
		add(scoreCall, name, body, "JSON_INVALID", "body", "JSON")
	}
	add(scoreCall, "not UTF-8", "{\"category\": \"\xff\xfe\"}", "JSON_INVALID", "body", "UTF-8")
	for name, body := range map[string]string{"a number": "5", "a text": `"3Lz"`, "a list": "[]", "true": "true", "null": "null"} {
		add(scoreCall, name, body, "FIELD_INVALID", "body", "want an object")
	}
	add(scoreCall, "half a character", `{"category": "\ud800"}`, "FIELD_INVALID", "category", "half a character")
	add(scoreCall, "a whole number with decimals", `{"elements": [{"code": "3Lz", "marks": [2.00000000000000000001]}]}`, "FIELD_INVALID", "elements[0].marks[0]", "want a whole number")
	add(scoreCall, "a field without a name", `{"": 1}`, "FIELD_UNKNOWN", "body", "allowed are")
	add(scoreCall, "nothing", "", "FIELD_REQUIRED", "category", "is empty")
	add(scoreCall, "spaces", " \n ", "FIELD_REQUIRED", "category", "is empty")
	add(levelCall, "an empty object", "{}", "FIELD_REQUIRED", "elements", "is empty")
	add(rankCall, "an empty object", "{}", "FIELD_REQUIRED", "competitors", "is empty")

	// Names given twice, two of one kind, a season that contradicts the path.
	add(scoreCall, "a name twice", `{"category": "senior-women", "category": "senior-men"}`, "FIELD_INVALID", "category", "given twice")
	add(scoreCall, "a list twice", `{"elements": [], "elements": []}`, "FIELD_INVALID", "elements", "given twice")
	add(scoreCall, "a mark's list twice", `{"elements": [{"code": "3T", "marks": [1], "marks": [2]}]}`, "FIELD_INVALID", "elements[0].marks", "given twice")
	add(scoreCall, "both spellings of a name", `{"countedJudges": [1], "counted_judges": [2]}`, "FIELD_INVALID", "countedJudges", "given twice")
	add(levelCall, "two kinds of element", `{"elements": [{"spin": {}, "stepSequence": {}}]}`, "FIELD_INVALID", "elements[0].stepSequence", "only one")
	add(scoreCall, "another season than the path", strings.Replace(whole, "{", `{"season": "2016-17",`, 1), "FIELD_INVALID", "season", "in the path")

	// Several faults at once come back together.
	add(scoreCall, "a typing error and a wrong type", `{"catgory": "senior-women", "segment": 5}`, "FIELD_UNKNOWN", "segment", "did you mean category?")
	add(valueCall, "two wrong codes", `{"category": "senior-men", "segment": "free-skating", "elements": [{"code": "3Lz?"}, {"code": "3T"}, {"code": "#"}]}`,
		"CODE_INVALID", "elements[2].code", "elements[0].code")
	add(valueCall, "season and code", `{"category": "senior-men", "segment": "high-jump", "elements": [{"code": "3Lz?"}]}`,
		"SEGMENT_UNKNOWN", "elements[0].code", "high-jump")

	// Too deep, too many, too large.
	add(scoreCall, "deep lists", strings.Repeat("[", 100_000), "BODY_TOO_DEEP", "[0][0][0][0][0][0][0][0][0][0][0][0][0][…", "deeper than")
	add(scoreCall, "deep objects", strings.Repeat(`{"elements":`, 5000)+"1"+strings.Repeat("}", 5000), "BODY_TOO_DEEP", "elements.elements.elements.elements.elem…", "deeper than")
	add(levelCall, "deep lists in a field", `{"elements": [{"spin": {"feet": `+strings.Repeat("[", 60)+strings.Repeat("]", 60)+"}}]}", "BODY_TOO_DEEP", "elements[0].spin.feet[0][0][0][0][0][0][…", "deeper than")
	add(scoreCall, "many empty objects", `{"elements": [`+strings.Repeat("{},", 300_000)+"{}]}", "TOO_MANY_ITEMS", "elements", "1000")
	add(scoreCall, "many marks", `{"elements": [{"code": "3T", "marks": `+many("1", 2000)+"}]}", "TOO_MANY_ITEMS", "elements[0].marks", "1000")
	add(batchCall, "3 MB of empty objects", `{"segments": [`+strings.Repeat("{},", 1_000_000)+"{}]}", "TOO_MANY_ITEMS", "segments", "1000")
	add(scoreCall, "2 MB of spaces", strings.Repeat(" ", 2<<20), "BODY_TOO_LARGE", "", "larger than")
	add(scoreCall, "2 MB of text", `{"category": "`+strings.Repeat("x", 2<<20)+`"}`, "BODY_TOO_LARGE", "", "larger than")
	add(batchCall, "9 MB of text", `{"segments": "`+strings.Repeat("x", 9<<20)+`"}`, "BODY_TOO_LARGE", "", "larger than")
	add(scoreCall, "a number of 60 kB", `{"elements": [{"code": "3T", "marks": [`+strings.Repeat("7", 60_000)+"]}]}", "FIELD_INVALID", "elements[0].marks[0]", "want a whole number")
	add(scoreCall, "a name of 60 kB", `{"`+strings.Repeat("n", 60_000)+`": 1}`, "FIELD_UNKNOWN", strings.Repeat("n", 40)+"…", "is no field here")
	add(scoreCall, "a text of 60 kB", `{"explain": "`+strings.Repeat("t", 60_000)+`"}`, "FIELD_INVALID", "explain", "want true or false")
	return list
}
