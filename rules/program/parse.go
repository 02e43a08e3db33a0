package program

import (
	"errors"
	"fmt"
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/table"
)

// MaxFile is the longest program file that is read, in bytes.
const MaxFile = 64 << 10

// File is a program file: the program and the season that it is meant for.
type File struct {
	Season string // empty = the reader chooses
	Title  string // for people
	Program
}

// ParseError is a fault of a program's notation or file.
type ParseError struct {
	Line    int // 1-based
	Message string
}

// Error returns the fault as "line 3: message".
func (e ParseError) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Message) }

// ParseLine reads a program in one line (or several): elements with commas,
// semicolons or line ends between. Behind a code may stand x (executed in the
// second half) and an expected grade with its sign; a | marks the half, so that
// all elements behind it are in the second half:
//
//	3Lz+3T +2, CCoSp4, StSq3 | 2A, 3F +1.5, LSp3
//
// All faults come together, with their lines.
func ParseLine(text string) ([]Planned, error) {
	var errs []error
	if len(text) > MaxFile {
		return nil, ParseError{1, fmt.Sprintf("is longer than %d bytes", MaxFile)}
	}
	var program []Planned
	half := false
	for n, line := range strings.Split(text, "\n") {
		line, _, _ = strings.Cut(line, "#")
		for h, part := range strings.Split(line, "|") {
			if h > 0 {
				if half {
					errs = append(errs, ParseError{n + 1, "a second | stands here; the program has one half"})
				}
				half = true
			}
			for _, words := range strings.FieldsFunc(part, func(r rune) bool { return r == ',' || r == ';' }) {
				if strings.TrimSpace(words) == "" {
					continue
				}
				planned, err := parseElement(words)
				if err != nil {
					errs = append(errs, ParseError{n + 1, err.Error()})
					continue
				}
				planned.SecondHalf = planned.SecondHalf || half
				planned.At = fmt.Sprintf("text.line[%d]", n+1)
				program = append(program, planned)
			}
		}
	}
	return program, errors.Join(errs...)
}

// parseElement reads a code with what may stand behind it.
func parseElement(text string) (Planned, error) {
	words := strings.Fields(text)
	e, err := element.Parse(words[0])
	if err != nil {
		return Planned{}, err
	}
	p := Planned{Code: e.String()}
	for _, word := range words[1:] {
		switch {
		case word == "x" || word == "X":
			p.SecondHalf = true
		case word[0] == '+' || word[0] == '-' || word == "0":
			grade, err := rules.ParsePoints(word)
			if err != nil || p.Grade != nil {
				return p, fmt.Errorf("%s behind %s is not an expected grade; want one such as +2 or -1.5", rules.Quote(word), p.Code)
			}
			p.Grade = &grade
		default:
			return p, fmt.Errorf("%s behind %s is not understood; elements have a comma between them, behind a code may stand x (second half) and a grade such as +2", rules.Quote(word), p.Code)
		}
	}
	return p, nil
}

// ParseFile reads a program file, YAML or JSON:
//
//	season: 2025-26
//	category: senior-women
//	segment: free-skating
//	duration: "4:00"
//	elements: 3Lz+3T +2, CCoSp4, StSq3 | 2A, 3F
//	components: {COMPOSITION: 8.25, PRESENTATION: 8.50, SKATING_SKILLS: 8.00}
//
// elements may also be a list whose items are such texts or mappings with code,
// second_half and grade. All faults come together, with their lines.
func ParseFile(data []byte) (*File, error) {
	if len(data) > MaxFile {
		return nil, ParseError{1, fmt.Sprintf("is longer than %d bytes", MaxFile)}
	}
	root, fault := table.ParseYAML("", data)
	if fault != nil {
		return nil, ParseError{fault.Line, fault.Message}
	}
	if !root.IsMapping() {
		return nil, ParseError{1, "want a mapping with category, segment and elements"}
	}
	r := &fileReader{file: &File{}}
	r.mapping(root, map[string]func(*table.Node){
		"season":     r.text(&r.file.Season),
		"title":      r.text(&r.file.Title),
		"category":   r.text(&r.file.Category),
		"segment":    r.text(&r.file.Segment),
		"scope":      r.text(&r.file.Scope),
		"duration":   r.duration,
		"components": r.components,
		"elements":   r.elements,
	})
	for _, need := range []struct{ key, value string }{{"category", r.file.Category}, {"segment", r.file.Segment}} {
		if need.value == "" {
			r.fault(root, "%s is missing", need.key)
		}
	}
	if len(r.file.Elements) == 0 && len(r.errs) == 0 {
		r.fault(root, "elements is missing or empty")
	}
	return r.file, errors.Join(r.errs...)
}

type fileReader struct {
	file *File
	errs []error
}

func (r *fileReader) fault(at *table.Node, format string, args ...any) {
	r.errs = append(r.errs, ParseError{at.Line, fmt.Sprintf(format, args...)})
}

// mapping reads a mapping by its known keys.
func (r *fileReader) mapping(node *table.Node, known map[string]func(*table.Node)) {
	seen := map[string]bool{}
	for _, k := range node.Keys {
		read := known[k.Name]
		switch {
		case read == nil:
			r.errs = append(r.errs, ParseError{k.Line, fmt.Sprintf("%s is not a known key here; known are: %s", rules.Quote(k.Name), list(rules.SortedKeys(known)))})
		case seen[k.Name]:
			r.errs = append(r.errs, ParseError{k.Line, k.Name + " stands here twice"})
		default:
			read(k.Value)
		}
		seen[k.Name] = true
	}
}

func (r *fileReader) text(into *string) func(*table.Node) {
	return func(node *table.Node) {
		if !node.IsText() {
			r.fault(node, "want a text")
			return
		}
		*into = node.Text
	}
}

// duration reads minutes and seconds (4:00) or seconds (240).
func (r *fileReader) duration(node *table.Node) {
	minutes, seconds, clock := strings.Cut(node.Text, ":")
	if !clock {
		minutes, seconds = "0", node.Text
	}
	m, okM := digits(minutes)
	s, okS := digits(seconds)
	if !node.IsText() || !okM || !okS || clock && s > 59 {
		r.fault(node, `duration is %s; want minutes and seconds such as "4:00", or seconds`, rules.Quote(node.Text))
		return
	}
	r.file.Duration = 60*m + s
}

func digits(text string) (int, bool) {
	n := 0
	for _, c := range []byte(text) {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = 10*n + int(c-'0')
	}
	return n, text != "" && len(text) <= 4
}

func (r *fileReader) components(node *table.Node) {
	if !node.IsMapping() {
		r.fault(node, "components: want a mapping of component to average mark")
		return
	}
	r.file.Components = map[string]rules.Points{}
	for _, k := range node.Keys {
		mark, err := rules.ParsePoints(k.Value.Text)
		if err != nil {
			r.fault(k.Value, "components.%s: %v", k.Name, err)
			continue
		}
		r.file.Components[k.Name] = mark
	}
}

func (r *fileReader) elements(node *table.Node) {
	switch {
	case node.IsText():
		r.line(node)
	case node.IsList():
		for _, item := range node.Items {
			switch {
			case item.IsText():
				r.line(item)
			case item.IsMapping():
				r.element(item)
			default:
				r.fault(item, "want an element's code, or a mapping with code, second_half and grade")
			}
		}
	default:
		r.fault(node, "elements: want a text or a list")
	}
}

// line reads a text in the one-line notation. In a block text the lines are
// counted from the one below the key.
func (r *fileReader) line(node *table.Node) {
	planned, err := ParseLine(node.Text)
	first := node.Line
	if node.Block {
		first++
	}
	var faults interface{ Unwrap() []error }
	var fault ParseError
	switch {
	case errors.As(err, &faults):
		for _, e := range faults.Unwrap() {
			if errors.As(e, &fault) {
				r.errs = append(r.errs, ParseError{first + fault.Line - 1, fault.Message})
			}
		}
	case errors.As(err, &fault):
		r.errs = append(r.errs, ParseError{first, fault.Message})
	}
	for i := range planned {
		planned[i].At = "" // its line is that of the text, not of the file
	}
	r.file.Elements = append(r.file.Elements, planned...)
}

func (r *fileReader) element(node *table.Node) {
	var p Planned
	r.mapping(node, map[string]func(*table.Node){
		"code": func(n *table.Node) {
			e, err := element.Parse(n.Text)
			if err != nil {
				r.fault(n, "%v", err)
			}
			p.Code = e.String()
		},
		"second_half": func(n *table.Node) {
			if n.Text != "true" && n.Text != "false" {
				r.fault(n, "second_half is %s; want true or false", rules.Quote(n.Text))
			}
			p.SecondHalf = n.Text == "true"
		},
		"grade": func(n *table.Node) {
			grade, err := rules.ParsePoints(n.Text)
			if err != nil {
				r.fault(n, "grade: %v", err)
			}
			p.Grade = &grade
		},
	})
	if p.Code == "" {
		r.fault(node, "code is missing")
		return
	}
	r.file.Elements = append(r.file.Elements, p)
}
