package docs

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"unicode/utf8"

	"github.com/rinktally/rinktally/proto/openapi"
)

// wayOf takes a path apart.
func wayOf(method, path string) Way {
	w := Way{Method: method}
	for i, part := range strings.Split(path, "{") {
		if i > 0 {
			name, after, _ := strings.Cut(part, "}")
			w.Parts = append(w.Parts, Part{name, true})
			part = after
		}
		if part != "" {
			w.Parts = append(w.Parts, Part{part, false})
		}
	}
	return w
}

// example puts the value that a parameter has in the example into its address.
func (c *Call) example(p *openapi.Parameter, path string) {
	value, ok := p.Example.(string)
	if !ok {
		return
	}
	if c.Curl == "" {
		c.Curl = path
	}
	switch {
	case p.In == "path":
		c.Curl = strings.ReplaceAll(c.Curl, "{"+p.Name+"}", value)
	case strings.Contains(c.Curl, "?"):
		c.Curl += "&" + p.Name + "=" + url.QueryEscape(value)
	default:
		c.Curl += "?" + p.Name + "=" + url.QueryEscape(value)
	}
}

// server is where the examples are called: the address that a server has by itself.
const server = "localhost:7080"

// curl makes the example a command.
func (c *Call) curl(method, path string) {
	at := c.Curl
	if at == "" {
		at = path
	}
	if strings.ContainsAny(at, "{") { // a value is missing
		c.Curl = ""
		return
	}
	words := []string{"curl -s " + quote(server+at)}
	if len(c.Events) > 0 {
		words[0] = "curl -sN " + quote(server+at)
	}
	if c.Sent == "" && method != "GET" || c.Sent != "" && method != "POST" {
		words = append(words, "-X "+method)
	}
	if c.Access == Token {
		words = append(words, `-H "Authorization: Bearer $TOKEN"`)
	}
	if c.Sent != "" {
		words = append(words, "-d "+quote(c.Sent))
	}
	c.Curl = strings.Join(words, " \\\n  ")
}

// quote writes a word for a shell; one that needs no quotes stays as it is.
func quote(word string) string {
	if !strings.ContainsAny(word, " \t\n'\"\\$&?*<>|;(){}[]#~`!") {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

// width is how long a line of JSON may be: as much as half a sheet holds.
const width = 60

// pretty writes JSON with as much on a line as fits. A text alone, such as CSV or the
// event of a stream, is written as it is.
func pretty(data json.RawMessage) string {
	if len(data) == 0 {
		return ""
	}
	var text string
	if json.Unmarshal(data, &text) == nil {
		return strings.TrimSpace(text)
	}
	var out strings.Builder
	write(&out, data, "")
	return out.String()
}

func write(out *strings.Builder, data json.RawMessage, indent string) {
	var line bytes.Buffer
	if json.Compact(&line, data) == nil && utf8.RuneCount(line.Bytes())+len(indent) <= width {
		out.WriteString(spaced(line.Bytes()))
		return
	}
	deeper := indent + "  "
	var object openapi.Ordered[json.RawMessage]
	var list []json.RawMessage
	switch data[0] {
	case '{':
		if json.Unmarshal(data, &object) == nil {
			out.WriteString("{\n")
			for i, m := range object {
				fmt.Fprintf(out, "%s%q: ", deeper, m.Name)
				write(out, m.Value, deeper)
				end(out, i, len(object))
			}
			out.WriteString(indent + "}")
		}
	case '[':
		if json.Unmarshal(data, &list) == nil {
			out.WriteString("[\n")
			for i, item := range list {
				out.WriteString(deeper)
				write(out, item, deeper)
				end(out, i, len(list))
			}
			out.WriteString(indent + "]")
		}
	default:
		out.Write(data)
	}
}

func end(out *strings.Builder, i, n int) {
	if i < n-1 {
		out.WriteByte(',')
	}
	out.WriteByte('\n')
}

// spaced puts a space behind colons and commas outside of texts.
func spaced(line []byte) string {
	var out strings.Builder
	quoted, escaped := false, false
	for _, b := range line {
		out.WriteByte(b)
		switch {
		case escaped:
			escaped = false
		case quoted && b == '\\':
			escaped = true
		case b == '"':
			quoted = !quoted
		case !quoted && (b == ':' || b == ','):
			out.WriteByte(' ')
		}
	}
	return out.String()
}
