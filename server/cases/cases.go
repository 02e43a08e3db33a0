// Package cases runs golden cases: requests of the public contract with the
// answer that is expected, written as YAML beside the season tables, so that
// someone who is no programmer can add one and try a table with it.
package cases

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"reflect"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/table"
)

// Case is one request and what its answer must hold. Only what Expect names is
// compared; an error is expected as
// {"error": {"reason": ..., "fields": [...]}}.
type Case struct {
	Name    string   `yaml:"name"`
	Source  string   `yaml:"source"`  // where the expected answer is published, or what it follows from
	Seasons []string `yaml:"seasons"` // empty = the season of the folder
	Call    string   `yaml:"call"`    // levels:call, elements:value, segments:score, ...
	Request any      `yaml:"request"`
	Expect  any      `yaml:"expect"`

	File string `yaml:"-"`
	Line int    `yaml:"-"`
}

// Calls are the calls that a case can make, by the last part of their REST path.
var Calls = rules.SortedKeys(messages)

// Caller makes a call of the contract under a season, with JSON in and out. An
// error of the authority comes back as *Refusal.
type Caller func(ctx context.Context, call, season string, request []byte) ([]byte, error)

// Refusal is an error of the authority: its reason and the fields at fault.
type Refusal struct {
	Reason string
	Fields []string
	Text   string
}

// Error returns the authority's words.
func (r *Refusal) Error() string { return r.Reason + ": " + r.Text }

// Load reads the cases of every season folder (cases/*.yaml) of a tree. Faults
// are rules.TableFaults: each with file, line and what is allowed.
func Load(name string, fsys fs.FS) ([]Case, error) {
	files, err := fs.Glob(fsys, "*/cases/*")
	if err != nil {
		return nil, err
	}
	var all []Case
	var faults rules.TableFaults
	named := map[string]map[string]string{} // by season
	for _, file := range files {
		shown := path.Join(name, file)
		if path.Ext(file) != ".yaml" {
			faults = append(faults, rules.TableFault{File: shown, Message: "is not read: the name of a file with golden cases ends in .yaml"})
			continue
		}
		data, err := fs.ReadFile(fsys, file)
		if err != nil {
			faults = append(faults, rules.TableFault{File: shown, Message: fmt.Sprintf("cannot be read: %v", err)})
			continue
		}
		season, _, _ := strings.Cut(file, "/")
		if named[season] == nil {
			named[season] = map[string]string{}
		}
		list, wrong := read(shown, season, data, named[season])
		all, faults = append(all, list...), append(faults, wrong...)
	}
	if len(faults) > 0 {
		return all, faults
	}
	return all, nil
}

// read returns the cases of one file, with the season of its folder where a case
// names none. named holds where each name of the folder's cases stands.
func read(shown, season string, data []byte, named map[string]string) ([]Case, rules.TableFaults) {
	var read []Case
	root, faults := table.ReadYAML(shown, data, &read)
	if root == nil {
		return nil, faults
	}
	var list []Case
	for i, item := range root.Items {
		c := read[i]
		c.File, c.Line = shown, item.Line
		at := func(line int, format string, args ...any) {
			faults = append(faults, rules.TableFault{File: shown, Line: line, Message: fmt.Sprintf(format, args...)})
		}
		fault := func(format string, args ...any) { at(c.Line, format, args...) }
		if c.Name == "" {
			fault("name is missing")
		}
		if c.Source == "" {
			fault("source is missing: say where the expected answer is published, or what it follows from")
		}
		if !slices.Contains(Calls, c.Call) {
			at(lineOf(item, "call", c.Line), "call is %s; allowed are: %s", rules.Quote(c.Call), strings.Join(Calls, ", "))
		}
		if c.Request == nil || c.Expect == nil {
			fault("request and expect are both needed")
		} else if reflect.DeepEqual(c.Expect, map[string]any{}) {
			at(lineOf(item, "expect", c.Line), "expect holds nothing, so nothing would be compared")
		}
		if c.Request == nil {
			continue
		}
		before := len(faults)
		c.checkFields(item, at)
		if err := c.fits(); err != nil && len(faults) == before {
			at(lineOf(item, "request", c.Line), "%v", err)
		}
		if line := named[c.Name]; line != "" && c.Name != "" {
			fault("name is that of the case at %s; each case of a season has its own", line)
		}
		named[c.Name] = fmt.Sprintf("%s:%d", shown, c.Line)
		if len(c.Seasons) == 0 {
			c.Seasons = []string{season}
		}
		list = append(list, c)
	}
	return list, faults
}

// checkFields reports what the request and the answer of the call have no field for.
func (c *Case) checkFields(item *table.Node, fault func(line int, format string, args ...any)) {
	m, known := messages[c.Call]
	if !known {
		return
	}
	if n := item.Get("request"); n != nil {
		f := fields{of: "the request of " + c.Call, fault: fault}
		f.object(n, m.request.ProtoReflect().Descriptor(), "request")
	}
	expect := item.Get("expect")
	if expect == nil {
		return
	}
	f := fields{of: "the answer of " + c.Call, answer: true, fault: fault}
	if refusal := expect.Get("error"); refusal != nil {
		f.refusal(refusal)
		return
	}
	f.object(expect, m.answer.ProtoReflect().Descriptor(), "expect")
}

// lineOf returns the line of a key in a case, or otherwise.
func lineOf(n *table.Node, key string, otherwise int) int {
	for _, k := range n.Keys {
		if k.Name == key {
			return k.Line
		}
		if line := lineOf(k.Value, key, 0); line > 0 {
			return line
		}
	}
	for _, item := range n.Items {
		if line := lineOf(item, key, 0); line > 0 {
			return line
		}
	}
	return otherwise
}

// fits reports whether the request is one of the call, if there is such a call.
func (c *Case) fits() error {
	request, err := json.Marshal(c.Request)
	if err != nil {
		return fmt.Errorf("the request is no JSON: %w", err)
	}
	if m, known := messages[c.Call]; known {
		return fit(request, m.request.ProtoReflect().New().Interface())
	}
	return nil
}

// Run makes the case's call under one season and lists what differs from what
// was expected, each with its path. It also returns the answer.
func (c *Case) Run(ctx context.Context, season string, call Caller) (answer []byte, differences []string) {
	request, err := json.Marshal(c.Request)
	if err != nil {
		return nil, []string{fmt.Sprintf("the request is no JSON: %v", err)}
	}
	answer, err = call(ctx, c.Call, season, request)
	var refusal *Refusal
	switch {
	case errors.As(err, &refusal):
		// compared like an answer, so that cases can expect errors
		answer, err = json.Marshal(map[string]any{"error": map[string]any{"reason": refusal.Reason, "fields": refusal.Fields}})
		if err != nil {
			return nil, []string{err.Error()}
		}
	case err != nil:
		return nil, []string{err.Error()}
	}
	expect, err := json.Marshal(c.Expect)
	if err != nil {
		return answer, []string{fmt.Sprintf("expect is no JSON: %v", err)}
	}
	differences = compare("", decode(expect), decode(answer))
	if refusal != nil && len(differences) > 0 {
		differences = append(differences, refusal.Error())
	}
	return answer, differences
}

func decode(data []byte) any {
	var v any
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	if d.Decode(&v) != nil {
		return nil
	}
	return v
}

// compare lists where got lacks what want holds. Objects may have more keys;
// lists are compared item by item and must be as long.
func compare(at string, want, got any) []string {
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			return []string{fmt.Sprintf("%s: want an object, got %s", at, show(got))}
		}
		var out []string
		for _, key := range sorted(w) {
			value, ok := g[key]
			if !ok {
				out = append(out, fmt.Sprintf("%s: is missing", join(at, key)))
				continue
			}
			out = append(out, compare(join(at, key), w[key], value)...)
		}
		return out
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			return []string{fmt.Sprintf("%s: want %d items, got %s", at, len(w), show(got))}
		}
		var out []string
		for i := range w {
			out = append(out, compare(fmt.Sprintf("%s[%d]", at, i), w[i], g[i])...)
		}
		return out
	default:
		if fmt.Sprint(want) != fmt.Sprint(got) {
			return []string{fmt.Sprintf("%s: want %s, got %s", at, show(want), show(got))}
		}
		return nil
	}
}

func sorted(m map[string]any) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func join(at, key string) string {
	if at == "" {
		return key
	}
	return at + "." + key
}

func show(v any) string {
	data, err := json.Marshal(v)
	if err != nil {
		return fmt.Sprint(v)
	}
	if len(data) > 120 {
		return string(data[:120]) + "…"
	}
	return string(data)
}
