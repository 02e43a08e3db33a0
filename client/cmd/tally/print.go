package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

var toJSON = protojson.MarshalOptions{EmitUnpopulated: true}

// printJSON prints a message as the REST interface shows it, indented.
func (a *app) printJSON(w io.Writer, m proto.Message) {
	var b bytes.Buffer
	_ = json.Indent(&b, marshal(m), "", "  ") // of what was just encoded
	fmt.Fprintln(w, b.String())
}

// printJSONLine prints a message as one line.
func (a *app) printJSONLine(w io.Writer, m proto.Message) {
	var b bytes.Buffer
	_ = json.Compact(&b, marshal(m)) // of what was just encoded
	fmt.Fprintln(w, b.String())
}

func marshal(m proto.Message) []byte {
	data, err := toJSON.Marshal(m)
	if err != nil {
		panic(fmt.Sprintf("an answer that has no JSON: %v", err)) // only text that is not UTF-8, which no answer holds
	}
	return data
}

func (a *app) printTable(t *table) { fmt.Fprintln(a.out, t) }

// printRules says under which rules an answer holds.
func (a *app) printRules(rules *pb.RulesInfo, rest ...string) {
	parts := []string{rules.GetTitle()}
	for _, r := range rest {
		if r != "" {
			parts = append(parts, r)
		}
	}
	fmt.Fprintf(a.out, "%s\n\n", strings.Join(parts, ", "))
}

// printWarnings says what the answer rests on that is not surely known.
func (a *app) printWarnings(warnings []*pb.Warning) {
	if len(warnings) == 0 {
		return
	}
	fmt.Fprintln(a.out, "\nWarnings")
	for _, w := range warnings {
		fmt.Fprintf(a.out, "  %s%s\n", tag(w.GetConfidence(), w.GetFields()), w.GetMessage())
	}
}

// tag says shortly how surely a warning's rule is known, and which fields of the
// request rest on it where it is not the whole answer: "[inferred, element 2] ".
func tag(confidence string, fields []string) string {
	var parts []string
	if confidence != "" {
		parts = append(parts, confidence)
	}
	for _, field := range fields {
		parts = append(parts, placeWords(field))
	}
	if len(parts) == 0 {
		return ""
	}
	return "[" + strings.Join(parts, ", ") + "] "
}

var listItem = regexp.MustCompile(`^(?:text\.)?(\w+)\[(\d+)\]$`)

// placeWords says a path in a request in words: "elements[1]" is "element 2",
// "text.line[2]" "line 2".
func placeWords(field string) string {
	found := listItem.FindStringSubmatch(field)
	if found == nil {
		return field
	}
	n, _ := strconv.Atoi(found[2])
	if found[1] != "line" { // lines count from 1 as they are
		n++
	}
	return fmt.Sprintf("%s %d", strings.TrimSuffix(strings.Replace(found[1], "ies", "y", 1), "s"), n)
}

// words writes an enum's name as words: DIFFICULT_EXIT is "difficult exit".
func words(name fmt.Stringer) string {
	return strings.ToLower(strings.ReplaceAll(name.String(), "_", " "))
}

func yes(b bool, word string) string {
	if b {
		return word
	}
	return ""
}
