package events_test

import (
	"bytes"
	"encoding/json"
	"math"
	"net/url"
	"slices"
	"strings"
	"sync"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	"github.com/goccy/go-yaml"
)

// mutation changes requests as its bytes say, which a fuzzer finds. When they are at
// their end nothing is changed any more.
type mutation struct{ chance []byte }

// next returns a number below n, 0 at the end.
func (m *mutation) next(n int) int {
	v := 0
	for range 2 {
		if len(m.chance) == 0 {
			break
		}
		v = v<<8 | int(m.chance[0])
		m.chance = m.chance[1:]
		if n <= 1<<8 {
			break
		}
	}
	return v % n
}

func (m *mutation) over() bool { return len(m.chance) == 0 }

func pick[T any](m *mutation, of []T) T { return of[m.next(len(of))] }

// changes is how many things are changed.
func (m *mutation) changes() int { return m.next(5) }

// Texts and numbers that programs like to get wrong.
var (
	oddTexts = []string{
		"", " ", "0", "-1", "1.5", "1e400", "NaN", "Infinity", "true", "null", "\x00", "a\x00b", "a\nb", "=1+1", "\u202e", "🏒", "é", "../..", "%2e%2e%2f",
		"%", "current", "2099-00", "9999-12-31", "2026-02-30", "0000-01-01T00:00:00Z", "sha256:00", "-0.001", "99999999999999999999.99", "3Lz+3T+3T+3T+3T+SEQ+REP",
		"3A<<!*V", "CCoSp9V", "5ALi4+5ALi4", "id,category\n\"", "QUJD", "{}", "a b", "A", "senior-women", "short-program", "free-dance", strings.Repeat("x", 300), strings.Repeat("3T+", 2000),
	}
	oddNumbers = []float64{0, 1, -1, 2, 0.25, 0.1, -0.0001, 9, 64, 127, 1000, math.MaxInt32, math.MinInt32, 1 << 32, 1 << 53, 1e18, -1e19, 1e308, 5e-324}
)

// known are the names and texts that requests are made of.
type known struct{ names, texts []string }

var knownWords = sync.OnceValue(func() known {
	var k known
	protoregistry.GlobalFiles.RangeFilesByPackage("rinktally.v1", func(file protoreflect.FileDescriptor) bool {
		for i := range file.Messages().Len() {
			fields := file.Messages().Get(i).Fields()
			for j := range fields.Len() {
				k.names = append(k.names, fields.Get(j).JSONName())
				if e := fields.Get(j).Enum(); e != nil {
					for n := range e.Values().Len() {
						k.texts = append(k.texts, string(e.Values().Get(n).Name()))
					}
				}
			}
		}
		return true
	})
	var gather func(v any)
	gather = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			for _, inner := range v {
				gather(inner)
			}
		case []any:
			for _, inner := range v {
				gather(inner)
			}
		case string:
			k.texts = append(k.texts, v)
		}
	}
	for _, c := range readExamples() {
		var body any
		if json.Unmarshal(must(yaml.MarshalWithOptions(c.Request, yaml.JSON())), &body) == nil {
			gather(body)
		}
		k.texts = append(k.texts, strings.FieldsFunc(c.Path, func(r rune) bool { return strings.ContainsRune("/:?&=", r) })...)
	}
	for _, list := range []*[]string{&k.names, &k.texts} { // the same in each process
		slices.Sort(*list)
		*list = slices.Compact(*list)
	}
	return k
})

func (m *mutation) text() string {
	switch m.next(4) {
	case 0:
		return pick(m, oddTexts)
	case 1:
		n := min(m.next(32), len(m.chance))
		text := string(m.chance[:n])
		m.chance = m.chance[n:]
		return strings.ToValidUTF8(text, "?")
	default:
		return pick(m, knownWords().texts)
	}
}

// value is any value of JSON.
func (m *mutation) value(deep int) any {
	switch m.next(9) {
	case 0:
		return nil
	case 1:
		return m.next(2) == 0
	case 2, 3:
		return pick(m, oddNumbers)
	case 4:
		return json.RawMessage(pick(m, []string{"1e400", "-0", "18446744073709551616", "0.30000000000000004", "1E-7"}))
	case 5:
		list := []any{}
		for range m.next(4) * deep {
			list = append(list, m.value(deep-1))
		}
		return list
	case 6:
		object := map[string]any{}
		for range m.next(4) * deep {
			object[pick(m, knownWords().names)] = m.value(deep - 1)
		}
		return object
	default:
		return m.text()
	}
}

// spot is a place in a JSON value.
type spot struct {
	value any
	set   func(any)
	drop  func() // nil at the top
}

func spots(all []spot, s spot) []spot {
	all = append(all, s)
	switch v := s.value.(type) {
	case map[string]any:
		names := make([]string, 0, len(v))
		for name := range v {
			names = append(names, name)
		}
		slices.Sort(names) // so that the same bytes change the same
		for _, name := range names {
			all = spots(all, spot{v[name], func(to any) { v[name] = to }, func() { delete(v, name) }})
		}
	case []any:
		for i := range v {
			all = spots(all, spot{v[i], func(to any) { v[i] = to }, func() { s.set(slices.Delete(slices.Clone(v), i, i+1)) }})
		}
	}
	return all
}

// json changes values of a body.
func (m *mutation) json(body []byte) []byte {
	var tree any
	decoder := json.NewDecoder(bytes.NewReader(body))
	decoder.UseNumber()
	if err := decoder.Decode(&tree); err != nil {
		return body
	}
	for range m.changes() {
		const deep = 2
		s := pick(m, spots(nil, spot{value: tree, set: func(to any) { tree = to }}))
		switch m.next(6) {
		case 0:
			if s.drop != nil {
				s.drop()
			}
		case 1:
			list, _ := s.value.([]any)
			for range m.next(40) {
				list = append(list, s.value)
			}
			if _, is := s.value.([]any); !is || len(list) < 3000 {
				s.set(list)
			}
		case 2:
			if object, is := s.value.(map[string]any); is {
				object[pick(m, knownWords().names)] = m.value(deep)
			} else {
				s.set(map[string]any{pick(m, knownWords().names): s.value})
			}
		default:
			s.set(m.value(deep))
		}
	}
	if changed, err := json.Marshal(tree); err == nil {
		return changed
	}
	return body
}

// path changes parts of an address.
func (m *mutation) path(path string) string {
	if m.next(4) != 1 {
		return path
	}
	path, query, _ := strings.Cut(path, "?")
	parts := strings.Split(path, "/")
	for range m.changes() {
		if m.next(3) == 0 {
			query += "&" + pick(m, knownWords().names) + "=" + url.QueryEscape(m.text())
			continue
		}
		at := m.next(len(parts))
		_, verb, named := strings.Cut(parts[at], ":")
		if parts[at] = url.PathEscape(m.text()); named && m.next(4) != 0 {
			parts[at] += ":" + verb
		}
	}
	path = strings.Join(parts, "/")
	if !strings.HasPrefix(path, "/") {
		path = "/" + path
	}
	return path + "?" + query
}

// bytes changes what is sent, whatever it means.
func (m *mutation) bytes(body []byte) []byte {
	if m.next(4) != 3 {
		return body
	}
	body = slices.Clone(body)
	for range m.changes() {
		at := m.next(len(body) + 1)
		switch m.next(4) {
		case 0:
			body = body[:at]
		case 1:
			if at < len(body) {
				body[at] = byte(m.next(256))
			}
		case 2:
			body = slices.Delete(body, at, min(len(body), at+1+m.next(8)))
		default:
			n := min(m.next(32), len(m.chance))
			body = slices.Insert(body, at, m.chance[:n]...)
			m.chance = m.chance[n:]
		}
	}
	return body
}

// message changes fields of a message.
func (m *mutation) message(to protoreflect.Message) {
	for range m.changes() {
		m.field(to, 4)
	}
}

// field changes a field of a message, or of one in it.
func (m *mutation) field(to protoreflect.Message, deep int) {
	fields := to.Descriptor().Fields()
	if fields.Len() == 0 {
		return
	}
	field := fields.Get(m.next(fields.Len()))
	switch {
	case field.IsMap(), m.next(8) == 7:
		to.Clear(field)
	case field.IsList():
		m.list(to.Mutable(field).List(), field, deep)
	case field.Message() == nil:
		to.Set(field, m.scalar(field))
	case deep > 0 && !m.over():
		m.field(to.Mutable(field).Message(), deep-1)
	}
}

func (m *mutation) list(list protoreflect.List, field protoreflect.FieldDescriptor, deep int) {
	switch m.next(4) {
	case 0:
		list.Truncate(m.next(list.Len() + 1))
		return
	case 1:
		if list.Len() > 0 && list.Len() < 1500 { // the same again
			last := list.Get(m.next(list.Len()))
			for range m.next(60) {
				again := last
				if field.Message() != nil {
					again = protoreflect.ValueOfMessage(proto.Clone(last.Message().Interface()).ProtoReflect())
				}
				list.Append(again)
			}
		}
		return
	}
	switch {
	case field.Message() == nil && list.Len() > 0 && m.next(2) == 0:
		list.Set(m.next(list.Len()), m.scalar(field))
	case field.Message() == nil:
		list.Append(m.scalar(field))
	case list.Len() > 0 && m.next(4) != 0 && deep > 0:
		m.field(list.Get(m.next(list.Len())).Message(), deep-1)
	default:
		made := list.AppendMutable().Message()
		for range m.changes() {
			m.field(made, deep-1)
		}
	}
}

// scalar is a value for a field that holds no message.
func (m *mutation) scalar(field protoreflect.FieldDescriptor) protoreflect.Value {
	number := pick(m, oddNumbers)
	switch field.Kind() {
	case protoreflect.BoolKind:
		return protoreflect.ValueOfBool(m.next(2) == 0)
	case protoreflect.EnumKind:
		return protoreflect.ValueOfEnum(protoreflect.EnumNumber(m.next(64) - 2))
	case protoreflect.Int32Kind, protoreflect.Sint32Kind, protoreflect.Sfixed32Kind:
		return protoreflect.ValueOfInt32(int32(int64(number)))
	case protoreflect.Int64Kind, protoreflect.Sint64Kind, protoreflect.Sfixed64Kind:
		return protoreflect.ValueOfInt64(int64(number))
	case protoreflect.Uint32Kind, protoreflect.Fixed32Kind:
		return protoreflect.ValueOfUint32(uint32(int64(number)))
	case protoreflect.Uint64Kind, protoreflect.Fixed64Kind:
		return protoreflect.ValueOfUint64(uint64(int64(number)))
	case protoreflect.FloatKind:
		return protoreflect.ValueOfFloat32(float32(pick(m, append(oddNumbers, math.NaN(), math.Inf(1), math.Inf(-1)))))
	case protoreflect.DoubleKind:
		return protoreflect.ValueOfFloat64(pick(m, append(oddNumbers, math.NaN(), math.Inf(1), math.Inf(-1))))
	case protoreflect.BytesKind:
		return protoreflect.ValueOfBytes([]byte(m.text()))
	default:
		return protoreflect.ValueOfString(m.text())
	}
}
