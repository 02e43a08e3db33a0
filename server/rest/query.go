package rest

import (
	"encoding/json"
	"net/url"
	"slices"
	"strconv"

	"google.golang.org/protobuf/reflect/protoreflect"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
)

// checkQuery tells every fault of a query: what is no field of the call, what
// is given twice, what has the wrong type. The gateway would pass over the first.
func (r *route) checkQuery(raw string) error {
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
			faults.Add(show(name), reasonFieldUnknown, "is no field here; %s", hint)
		case len(given) > 1:
			faults.Add(field.JSONName(), rules.ReasonFieldInvalid, "is given %d times", len(given))
		case !fitsText(given[0], field):
			faults.Add(field.JSONName(), rules.ReasonFieldInvalid, "is %s; want %s", rules.Quote(given[0]), want(field))
		}
	}
	if len(faults) == 0 {
		return nil
	}
	return errs.From(faults, nil)
}

// checkPath tells every variable of a path that is not of its field's type.
func (r *route) checkPath(variables map[string]string) error {
	var faults rules.FieldErrors
	for _, name := range rules.SortedKeys(variables) {
		if field := r.request.Fields().ByTextName(name); field != nil && !fitsText(variables[name], field) {
			faults.Add(field.JSONName(), rules.ReasonFieldInvalid, "is %s; want %s", rules.Quote(variables[name]), want(field))
		}
	}
	if len(faults) == 0 {
		return nil
	}
	return errs.From(faults, nil)
}

// queryNames gives what a query may name: with a body nothing, otherwise every
// field that the path does not give.
func (r *route) queryNames() []string {
	if r.body {
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
		return fits(text, field) || fits(json.Number(text), field)
	case protoreflect.Int32Kind: // 2.0 and 2e0 are for JSON
		_, err := strconv.ParseInt(text, 10, 32)
		return err == nil
	default:
		return fits(json.Number(text), field) && text != ""
	}
}
