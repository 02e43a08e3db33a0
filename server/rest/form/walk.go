package form

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"unicode/utf8"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
)

// Reasons that only a body can have; they equal the ErrorReason names of the
// public contract.
var (
	reasonFieldUnknown = rules.Reason(pb.ErrorReason_FIELD_UNKNOWN.String())
	reasonJSONInvalid  = rules.Reason(pb.ErrorReason_JSON_INVALID.String())
)

// maxFaults bounds how many faults of one body are looked for, and maxAsked how many
// values the decoder is asked about one by one: some 20 ms of work.
const (
	maxFaults = 50
	maxAsked  = 10_000
)

// errStop ends a walk: the text is not JSON from here on, or enough is found.
var errStop = errors.New("stop")

// walker reads a body beside the description of its message and collects every
// fault with its path. It runs only on bodies that could not be decoded.
type walker struct {
	data   []byte
	dec    *json.Decoder
	raw    []byte // the last token as it is written
	asked  int    // how many values the decoder was asked about
	faults rules.FieldErrors
}

// diagnose reports everything that keeps a body from being the message. It may
// find nothing where the decoder is stricter than it.
func diagnose(data []byte, message protoreflect.MessageDescriptor) rules.FieldErrors {
	w := &walker{data: data, dec: json.NewDecoder(bytes.NewReader(data))}
	w.dec.UseNumber()
	if !utf8.Valid(data) {
		w.add("", reasonJSONInvalid, "is not UTF-8 text")
		return w.faults
	}
	token, err := w.next()
	if err == nil {
		err = w.message("", token, message)
	}
	if err == nil {
		if _, err := w.dec.Token(); !errors.Is(err, io.EOF) {
			w.invalid("something follows the end of the body's object")
		}
	}
	return w.faults
}

// wholeBody is the path of a body as a whole, as the OpenAPI document names it.
const wholeBody = "body"

func (w *walker) add(path string, reason rules.Reason, format string, args ...any) {
	w.faults.Add(cmp.Or(path, wholeBody), reason, format, args...)
}

func (w *walker) invalid(what string) {
	line, column := position(w.data, int(w.dec.InputOffset()))
	w.add("", reasonJSONInvalid, "is not JSON: %s (line %d, column %d)", what, line, column)
}

// stray says which character ends what can be read as JSON.
func (w *walker) stray() {
	var syntax *json.SyntaxError
	if err := json.Unmarshal(w.data, new(json.RawMessage)); !errors.As(err, &syntax) || syntax.Offset < 1 {
		w.invalid("a character stands where it cannot")
		return
	}
	at := int(syntax.Offset) - 1
	character, _ := utf8.DecodeRune(w.data[at:])
	line, column := position(w.data, at)
	w.add("", reasonJSONInvalid, "is not JSON: %q cannot stand at line %d, column %d", character, line, column)
}

// next reads a token; a text that is not JSON ends the walk.
func (w *walker) next() (json.Token, error) {
	if len(w.faults) >= maxFaults {
		return nil, errStop
	}
	before := w.dec.InputOffset()
	token, err := w.dec.Token()
	w.raw = bytes.TrimLeft(w.data[before:w.dec.InputOffset()], " \t\r\n,:")
	var syntax *json.SyntaxError
	switch {
	case err == nil:
		return token, nil
	case errors.As(err, &syntax):
		w.stray()
	default:
		w.invalid("it ends too early")
	}
	return nil, errStop
}

// message walks an object whose first token was read.
func (w *walker) message(path string, token json.Token, message protoreflect.MessageDescriptor) error {
	if token != json.Delim('{') {
		w.wrongType(path, token, "an object")
		return w.skip(token)
	}
	seen := map[string]bool{}
	chosen := map[protoreflect.FullName]string{}
	for w.dec.More() {
		token, err := w.next()
		if err != nil {
			return err
		}
		name, _ := token.(string)
		at := join(path, Show(name))
		field := message.Fields().ByJSONName(name)
		if field == nil {
			field = message.Fields().ByTextName(name)
		}
		value, err := w.next()
		if err != nil {
			return err
		}
		if field == nil {
			w.add(at, reasonFieldUnknown, "is no field here; %s", suggest(name, fieldNames(message)))
			if err := w.skip(value); err != nil {
				return err
			}
			continue
		}
		at = join(path, field.JSONName())
		if seen[field.JSONName()] {
			w.add(at, rules.ReasonFieldInvalid, "is given twice")
		}
		seen[field.JSONName()] = true
		if one := field.ContainingOneof(); one != nil && !one.IsSynthetic() && value != nil {
			if before := chosen[one.FullName()]; before != "" && before != field.JSONName() {
				w.add(at, rules.ReasonFieldInvalid, "stands beside %s; only one of them may be given", before)
			}
			chosen[one.FullName()] = field.JSONName()
		}
		if err := w.field(at, value, field); err != nil {
			return err
		}
	}
	_, err := w.next() // the closing brace
	return err
}

func (w *walker) field(path string, token json.Token, field protoreflect.FieldDescriptor) error {
	if token == nil {
		return nil // null is the same as left out
	}
	if !field.IsList() {
		return w.value(path, token, field)
	}
	if token != json.Delim('[') {
		w.wrongType(path, token, "a list")
		return w.skip(token)
	}
	for i := 0; w.dec.More(); i++ {
		token, err := w.next()
		if err != nil {
			return err
		}
		if err := w.value(fmt.Sprintf("%s[%d]", path, i), token, field); err != nil {
			return err
		}
	}
	_, err := w.next() // the closing bracket
	return err
}

func (w *walker) value(path string, token json.Token, field protoreflect.FieldDescriptor) error {
	if token == nil {
		w.add(path, rules.ReasonFieldInvalid, "is null; a list may not hold null: leave the item out")
		return nil
	}
	if m := field.Message(); m != nil && texts[m.FullName()] == "" {
		return w.message(path, token, m)
	}
	if d, ok := token.(json.Delim); ok {
		w.wrongType(path, token, want("", field))
		return w.skip(d)
	}
	if plainly(token, w.raw, field) || w.asked == maxAsked {
		return nil
	}
	w.asked++
	if fits(w.raw, field) {
		return nil
	}
	text, quoted := token.(string)
	switch {
	case quoted && field.Enum() != nil:
		w.add(path, rules.ReasonFieldInvalid, "is %s; %s", rules.Quote(text), suggest(text, enumNames(field.Enum())))
	case quoted && field.Kind() == protoreflect.StringKind:
		w.add(path, rules.ReasonFieldInvalid, `holds half a character: \u with d800 to dfff stands for one only as a pair`)
	default:
		w.wrongType(path, token, want(fmt.Sprint(token), field))
	}
	return nil
}

// texts are the messages that JSON writes as a text, and how such a text looks.
var texts = map[protoreflect.FullName]rules.Allowed{
	"google.protobuf.Duration":  `a text such as "90s"`,
	"google.protobuf.Timestamp": `a text such as "2026-03-14T10:00:00Z"`,
}

// plainly reports whether a value is one for a field beyond doubt. Nearly all are, a batch
// can hold a million, and asking the decoder about one takes a microsecond or two.
func plainly(token json.Token, raw []byte, field protoreflect.FieldDescriptor) bool {
	switch field.Kind() {
	case protoreflect.StringKind:
		_, quoted := token.(string)
		return quoted && !bytes.ContainsRune(raw, '\\')
	case protoreflect.BoolKind:
		_, ok := token.(bool)
		return ok
	case protoreflect.EnumKind:
		name, _ := token.(string)
		return field.Enum().Values().ByName(protoreflect.Name(name)) != nil
	case protoreflect.Int32Kind, protoreflect.Int64Kind, protoreflect.Uint64Kind:
		_, err := strconv.ParseUint(string(raw), 10, 31)
		return err == nil
	case protoreflect.DoubleKind:
		number, ok := token.(json.Number)
		_, err := number.Float64()
		return ok && err == nil
	default:
		return false
	}
}

// fits reports whether the decoder takes a value, as it is written in JSON, for a field.
func fits(value []byte, field protoreflect.FieldDescriptor) bool {
	kind, err := protoregistry.GlobalTypes.FindMessageByName(field.ContainingMessage().FullName())
	if err != nil {
		return true // so that the decoder's word stands
	}
	if field.IsList() {
		value = fmt.Appendf(nil, "[%s]", value)
	}
	return protojson.Unmarshal(fmt.Appendf(nil, `{"%s":%s}`, field.JSONName(), value), kind.New().Interface()) == nil
}

// want names what a field takes, to someone who gave a text or a number.
func want(given string, field protoreflect.FieldDescriptor) rules.Allowed {
	switch field.Kind() {
	case protoreflect.MessageKind:
		return texts[field.Message().FullName()]
	case protoreflect.StringKind:
		return "a text"
	case protoreflect.BoolKind:
		return "true or false"
	case protoreflect.EnumKind:
		return "one of: " + rules.AllowList(enumNames(field.Enum()))
	case protoreflect.DoubleKind:
		return "a number"
	case protoreflect.Uint64Kind:
		return within(given, "a whole number, 0 or more", "at most 18446744073709551615")
	case protoreflect.Int64Kind:
		return within(given, "a whole number", "from -9223372036854775808 to 9223372036854775807")
	default:
		return within(given, "a whole number", "from -2147483648 to 2147483647")
	}
}

// within adds the bounds of a kind of number for someone who gave a large one.
func within(given string, kind, bounds rules.Allowed) rules.Allowed {
	const large = 1 << 31
	if n, err := strconv.ParseFloat(given, 64); err == nil && (n >= large || n < -large) || errors.Is(err, strconv.ErrRange) {
		return rules.Allow("%s, %s", kind, bounds)
	}
	return kind
}

func (w *walker) wrongType(path string, token json.Token, wanted rules.Allowed) {
	w.add(path, rules.ReasonFieldInvalid, "is %s; want %s", found(token), wanted)
}

// found names a token for a person, cut to a readable length.
func found(token json.Token) string {
	switch t := token.(type) {
	case nil:
		return "null"
	case json.Delim:
		if t == '[' {
			return "a list"
		}
		return "an object"
	case string:
		return "the text " + rules.Quote(t)
	case json.Number:
		return "the number " + Show(t.String())
	default:
		return fmt.Sprint(t)
	}
}

// skip passes over the rest of a value whose first token was read.
func (w *walker) skip(token json.Token) error {
	d, ok := token.(json.Delim)
	if !ok || d == ']' || d == '}' {
		return nil
	}
	for depth := 1; depth > 0; {
		token, err := w.next()
		if err != nil {
			return err
		}
		switch token {
		case json.Delim('['), json.Delim('{'):
			depth++
		case json.Delim(']'), json.Delim('}'):
			depth--
		}
	}
	return nil
}

func fieldNames(m protoreflect.MessageDescriptor) []string {
	names := make([]string, m.Fields().Len())
	for i := range names {
		names[i] = m.Fields().Get(i).JSONName()
	}
	return names
}

// enumNames returns the names that mean something: not the one for "left out".
func enumNames(e protoreflect.EnumDescriptor) []string {
	var names []string
	for i := range e.Values().Len() {
		if v := e.Values().Get(i); v.Number() != 0 {
			names = append(names, string(v.Name()))
		}
	}
	return names
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// Show cuts a caller's text to a readable length.
func Show(s string) string {
	const most = 40
	s = errs.Shown(s)
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// position returns line and column, from 1, of a byte.
func position(data []byte, at int) (line, column int) {
	before := data[:min(at, len(data))]
	line = bytes.Count(before, []byte{'\n'}) + 1
	return line, utf8.RuneCount(before[bytes.LastIndexByte(before, '\n')+1:]) + 1
}

// pathAt returns the path of the value that a byte of a JSON text belongs to, as
// far as the text can be read.
func pathAt(data []byte, at int) string {
	dec := json.NewDecoder(bytes.NewReader(data))
	type level struct {
		list bool
		n    int
		name string
		key  bool // the next token is a name
	}
	var open []level
	for int(dec.InputOffset()) <= at {
		token, err := dec.Token()
		if err != nil || int(dec.InputOffset()) > at {
			break
		}
		top := len(open) - 1
		if top >= 0 && !open[top].list && open[top].key && token != json.Delim('}') {
			open[top].name, _ = token.(string)
			open[top].key = false
			continue
		}
		switch token {
		case json.Delim('['), json.Delim('{'):
			open = append(open, level{list: token == json.Delim('['), key: true})
			continue
		case json.Delim(']'), json.Delim('}'):
			open = open[:top]
		}
		if top = len(open) - 1; top >= 0 {
			open[top].n++
			open[top].key = true
		}
	}
	path := ""
	for i, l := range open {
		switch {
		case !l.list && l.name != "" && i < len(open)-1:
			path = join(path, Show(l.name))
		case l.list && i < len(open)-1:
			path += fmt.Sprintf("[%d]", l.n)
		}
	}
	return path
}
