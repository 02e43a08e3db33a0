package form

import (
	"net/url"
	"slices"
	"strconv"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
)

// CheckQuery returns every fault of a query: what is no field of the call, what
// is given twice, what has the wrong type. The gateway would pass over the first.
func (r *Route) CheckQuery(raw string) error {
	var faults rules.FieldErrors
	values, err := url.ParseQuery(raw)
	if err != nil {
		faults.Add("query", rules.ReasonFieldInvalid, "is not well formed; want name=value pairs with & between them")
		return errs.From(faults, nil)
	}
	allowed := r.queryNames()
	for _, name := range rules.SortedKeys(values) {
		given := values[name]
		field := r.request.Fields().ByJSONName(name)
		if field == nil {
			field = r.request.Fields().ByTextName(name)
		}
		switch {
		case field == nil || !slices.Contains(allowed, field.JSONName()):
			var hint any = "this call takes no query"
			if len(allowed) > 0 {
				hint = suggest(name, allowed)
			}
			faults.Add(Show(name), reasonFieldUnknown, "is no field here; %s", hint)
		case len(given) > 1:
			faults.Add(field.JSONName(), rules.ReasonFieldInvalid, "is given %d times", len(given))
		case !fitsText(given[0], field):
			faults.Add(field.JSONName(), rules.ReasonFieldInvalid, "is %s; want %s", rules.Quote(given[0]), want(given[0], field))
		}
	}
	if len(faults) == 0 {
		return nil
	}
	return errs.From(faults, nil)
}

// CheckPath returns every variable of a path that is not of its field's type.
func (r *Route) CheckPath(variables map[string]string) error {
	var faults rules.FieldErrors
	for _, name := range rules.SortedKeys(variables) {
		if field := r.request.Fields().ByTextName(name); field != nil && !fitsText(variables[name], field) {
			faults.Add(field.JSONName(), rules.ReasonFieldInvalid, "is %s; want %s", rules.Quote(variables[name]), want(variables[name], field))
		}
	}
	if len(faults) == 0 {
		return nil
	}
	return errs.From(faults, nil)
}

// queryNames returns what a query may name: with a body nothing, otherwise every
// field that the path does not give.
func (r *Route) queryNames() []string {
	if r.Body {
		return nil
	}
	return slices.DeleteFunc(fieldNames(r.request), func(name string) bool {
		return slices.Contains(r.parts, "{"+name+"}")
	})
}

func fitsText(text string, field protoreflect.FieldDescriptor) bool {
	switch field.Kind() {
	case protoreflect.StringKind:
		return true
	case protoreflect.BoolKind:
		return text == "true" || text == "false"
	case protoreflect.EnumKind: // by name or by number
		return field.Enum().Values().ByName(protoreflect.Name(text)) != nil || isInt32(text)
	case protoreflect.Int32Kind: // 2.0 and 2e0 are for JSON
		return isInt32(text)
	default: // the other numbers
		_, err := strconv.ParseFloat(text, 64)
		return err == nil && fits([]byte(text), field)
	}
}

func isInt32(text string) bool {
	_, err := strconv.ParseInt(text, 10, 32)
	return err == nil
}

// Fill puts what a path and a query state into the message of a call. Both have been
// checked.
func (r *Route) Fill(into proto.Message, variables map[string]string, query string) error {
	values, err := url.ParseQuery(query)
	if err != nil {
		return errs.Internal(err)
	}
	m := into.ProtoReflect()
	for name, given := range values {
		field := r.request.Fields().ByJSONName(name)
		if field == nil {
			field = r.request.Fields().ByTextName(name)
		}
		m.Set(field, valueOf(given[0], field))
	}
	for name, text := range variables {
		field := r.request.Fields().ByTextName(name)
		m.Set(field, valueOf(text, field))
	}
	return nil
}

// valueOf reads a text that fitsText has taken.
func valueOf(text string, field protoreflect.FieldDescriptor) protoreflect.Value {
	switch field.Kind() {
	case protoreflect.BoolKind:
		return protoreflect.ValueOfBool(text == "true")
	case protoreflect.Int32Kind:
		n, _ := strconv.ParseInt(text, 10, 32)
		return protoreflect.ValueOfInt32(int32(n))
	case protoreflect.EnumKind:
		if named := field.Enum().Values().ByName(protoreflect.Name(text)); named != nil {
			return protoreflect.ValueOfEnum(named.Number())
		}
		n, _ := strconv.ParseInt(text, 10, 32)
		return protoreflect.ValueOfEnum(protoreflect.EnumNumber(n))
	default:
		return protoreflect.ValueOfString(text)
	}
}
