package table

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"github.com/rinktally/rinktally/rules"
)

// byteOrderMark begins the files that some programs write as UTF-8.
var byteOrderMark = []byte("\xef\xbb\xbf")

const saveAsUTF8 = "is not UTF-8 text; save the file as UTF-8"

// notUTF8 returns the first line that is not UTF-8 text, or 0.
func notUTF8(data []byte) int {
	if utf8.Valid(data) {
		return 0
	}
	number := 1
	for line := range bytes.Lines(data) {
		if !utf8.Valid(line) {
			break
		}
		number++
	}
	return number
}

// maxDepth limits how deep a file's lists and mappings may lie in each other, so
// that a file cannot exhaust the stack. No table needs a tenth of it.
const maxDepth = 100

// maxNodes limits the values of one file with its aliases written out, so that
// aliases of aliases cannot exhaust the memory.
const maxNodes = 100_000

// ParseYAML reads the text of one file, which names it in faults. It returns nil
// and the fault where the text is not YAML.
func ParseYAML(file string, data []byte) (*Node, *rules.TableFault) {
	if line := notUTF8(data); line > 0 {
		return nil, &rules.TableFault{File: file, Line: line, Message: saveAsUTF8}
	}
	parsed, err := parser.ParseBytes(bytes.TrimPrefix(data, byteOrderMark), 0, parser.AllowDuplicateMapKey())
	if err != nil {
		return nil, syntaxFault(file, data, err)
	}
	r := &reader{file: file, anchors: map[string]ast.Node{}}
	var root *Node
	for i, doc := range parsed.Docs {
		switch {
		case doc.Body == nil:
		case i > 0 && root != nil:
			return nil, &rules.TableFault{File: file, Line: doc.Body.GetToken().Position.Line, Message: "a second document begins here; want one in each file"}
		default:
			root = r.node(doc.Body, 0)
		}
	}
	if r.fault != nil {
		return nil, r.fault
	}
	if root == nil {
		root = &Node{kind: scalar, null: true, File: file, Line: 1} // an empty file
	}
	root.state(0)
	return root, nil
}

// syntaxFault puts an error of the YAML parser at its line and into plain words.
func syntaxFault(file string, data []byte, err error) *rules.TableFault {
	fault := &rules.TableFault{File: file, Line: 1, Message: "is not YAML: " + err.Error()}
	var at interface {
		GetToken() *token.Token
		GetMessage() string
	}
	if !errors.As(err, &at) || at.GetToken() == nil {
		return fault
	}
	text, line := at.GetMessage(), at.GetToken().Position.Line
	switch {
	case tabbed(data, line):
		fault.Line, fault.Message = line, "a tab stands in the indentation; want spaces only"
		return fault
	case strings.HasPrefix(text, "value is not allowed in this context"):
		text += "; does the line stand as deep as its neighbours?"
	case strings.Contains(text, "must be specified"):
		// The parser names what it finds in place of the end that is missing.
		text += " in the list or mapping that begins before it; is its end missing?"
		if before := at.GetToken().Prev; before != nil {
			line = before.Position.Line
		}
	case text == "non-map value is specified":
		text = "did not find ':' behind a key"
	}
	fault.Line, fault.Message = line, "is not YAML: "+text
	return fault
}

// tabbed reports whether the indentation of a line holds a tab.
func tabbed(data []byte, number int) bool {
	lines := bytes.Split(data, []byte("\n"))
	if number > len(lines) {
		return false
	}
	line := lines[number-1]
	return bytes.ContainsRune(line[:len(line)-len(bytes.TrimLeft(line, " \t"))], '\t')
}

// reader turns what the YAML parser read into nodes.
type reader struct {
	file    string
	anchors map[string]ast.Node
	nodes   int
	fault   *rules.TableFault
}

func (r *reader) refuse(n ast.Node, format string, args ...any) *Node {
	if r.fault == nil {
		r.fault = &rules.TableFault{File: r.file, Line: n.GetToken().Position.Line, Message: "is not YAML: " + fmt.Sprintf(format, args...)}
	}
	return &Node{kind: scalar, null: true, File: r.file, Line: n.GetToken().Position.Line}
}

func (r *reader) node(from ast.Node, depth int) *Node {
	r.nodes++
	if depth > maxDepth || r.nodes > maxNodes {
		return r.refuse(from, "it is nested too deep or repeats itself too often")
	}
	n := &Node{File: r.file, Line: from.GetToken().Position.Line}
	switch from := from.(type) {
	case *ast.MappingNode:
		n.kind = mapping
		r.mapping(n, from, depth)
	case *ast.SequenceNode:
		n.kind = list
		for _, item := range from.Values {
			n.Items = append(n.Items, r.node(item, depth+1))
		}
	case *ast.AnchorNode:
		r.anchors[from.Name.GetToken().Value] = from.Value
		return r.node(from.Value, depth+1)
	case *ast.AliasNode:
		name := from.Value.GetToken().Value
		target := r.anchors[name]
		if target == nil {
			return r.refuse(from, "there is no anchor %s before this alias", name)
		}
		return r.node(target, depth+1)
	case *ast.TagNode:
		return r.node(from.Value, depth+1)
	case *ast.StringNode:
		n.Text, n.quoted = from.Value, from.Token.Type != token.StringType
		if !n.quoted && strings.ContainsAny(n.Text[:min(1, len(n.Text))], "]}") {
			return r.refuse(from, "%s ends a list or mapping that has not begun", n.Text[:1])
		}
	case *ast.LiteralNode:
		n.Text, n.quoted, n.Block = from.Value.Value, true, true
	case *ast.NullNode:
		n.null = true
	default: // numbers and booleans, as they are written
		n.Text = from.GetToken().Value
	}
	return n
}

func (r *reader) mapping(n *Node, from *ast.MappingNode, depth int) {
	var merged []*Node
	for _, entry := range from.Values {
		if entry.Key.Type() == ast.MergeKeyType {
			m := r.node(entry.Value, depth+1)
			if m.kind != mapping && m.kind != list {
				r.refuse(entry.Key, "<< merges a mapping into this one; want an alias such as *name")
			}
			merged = append(append(merged, m), m.Items...)
			continue
		}
		at := entry.Key.GetToken()
		key := Key{Name: at.Value, File: r.file, Line: at.Position.Line, Value: r.node(entry.Value, depth+1)}
		n.Keys = append(n.Keys, key)
	}
	for _, m := range merged { // what the mapping states itself goes before
		for _, k := range m.Keys {
			if n.Get(k.Name) == nil {
				n.Keys = append(n.Keys, k)
			}
		}
	}
}
