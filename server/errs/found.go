package errs

import (
	"fmt"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
)

// maxFound bounds how much of a caller's input is shown back.
const maxFound = 40

// metadata repeats for programs what a fault's text says to people.
func metadata(f rules.FieldError, req proto.Message) map[string]string {
	m := map[string]string{}
	if f.Field != "" {
		m["field"] = Shown(f.Field)
	}
	if f.Allowed != "" {
		m["allowed"] = Shown(f.Allowed)
	}
	if req == nil {
		return m
	}
	if found, ok := find(req.ProtoReflect(), f.Field); ok {
		m["found"] = cut(found)
	}
	if s, ok := req.(interface{ GetSeason() string }); ok && s.GetSeason() != "" {
		m["season"] = cut(s.GetSeason())
	}
	if e, ok := req.(interface{ GetEvent() string }); ok && f.Reason == rules.Reason(pb.ErrorReason_NOT_IN_EVENT.String()) {
		m["event"] = cut(e.GetEvent())
	}
	return m
}

func cut(s string) string {
	s = Shown(s)
	if r := []rune(s); len(r) > maxFound {
		return string(r[:maxFound]) + "…"
	}
	return s
}

// find returns the value at a path such as elements[2].marks[4]: a scalar as text,
// a list as its length. It is read from the message's own description, so it holds
// for every request.
func find(m protoreflect.Message, path string) (string, bool) {
	for path != "" {
		var step string
		step, path, _ = strings.Cut(path, ".")
		name, index := step, -1
		if at := strings.IndexByte(step, '['); at >= 0 && strings.HasSuffix(step, "]") {
			n, err := strconv.Atoi(step[at+1 : len(step)-1])
			if err != nil {
				return "", false
			}
			name, index = step[:at], n
		}
		field := m.Descriptor().Fields().ByJSONName(name)
		if field == nil || !m.Has(field) {
			return "", false
		}
		value := m.Get(field)
		if field.IsList() {
			if index < 0 {
				return strconv.Itoa(value.List().Len()), path == ""
			}
			if index >= value.List().Len() {
				return "", false
			}
			value = value.List().Get(index)
		}
		if field.Message() == nil {
			return text(field, value), path == ""
		}
		m = value.Message()
	}
	return "", false
}

func text(field protoreflect.FieldDescriptor, value protoreflect.Value) string {
	if field.Enum() == nil {
		return fmt.Sprint(value.Interface())
	}
	if named := field.Enum().Values().ByNumber(value.Enum()); named != nil {
		return string(named.Name())
	}
	return strconv.Itoa(int(value.Enum()))
}
