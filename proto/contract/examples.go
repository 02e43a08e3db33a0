package main

import (
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"strings"
)

// examplesFile has a request and its answer for each call, as a server answered it:
// integration/examples_test.go compares them.
const examplesFile = "proto/openapi/examples.json"

// example is a call as it was made.
type example struct {
	Path    string          `json:"path"` // with its query
	Request json.RawMessage `json:"request,omitempty"`
	Answer  json.RawMessage `json:"answer,omitempty"`
}

// readExamples reads the examples by the name of their call.
func readExamples(file string) (map[string]example, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var list map[string]example
	return list, json.Unmarshal(data, &list)
}

// values are the values that the example has for the variables of a path and for the
// query.
func (e example) values(path string) (map[string]any, error) {
	out := map[string]any{}
	if e.Path == "" {
		return out, nil
	}
	given, err := url.Parse(e.Path)
	if err != nil {
		return nil, err
	}
	rest := given.Path
	for _, part := range strings.Split(path, "{") {
		name, after, variable := strings.Cut(part, "}")
		if !variable {
			after = part
		} else {
			end := len(rest)
			if i := strings.IndexAny(rest, "/"); i >= 0 {
				end = i
			}
			if after != "" && after[0] == ':' {
				end = strings.Index(rest, after)
			}
			out[name], rest = rest[:max(end, 0)], rest[max(end, 0):]
		}
		before := rest
		if rest = strings.TrimPrefix(rest, after); len(before)-len(rest) != len(after) {
			return nil, fmt.Errorf("the path of its example, %s, is not %s", e.Path, path)
		}
	}
	for name, v := range given.Query() {
		out[name] = v[0]
	}
	return out, nil
}
