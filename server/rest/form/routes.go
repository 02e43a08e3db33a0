package form

import (
	"slices"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"

	"github.com/rinktally/rinktally/proto/route"
)

// Route is one REST path of the contract, read from the annotations of its call.
type Route struct {
	Method  string // GET, POST, …
	Call    string // name of the call: ListElements
	Service string // full name of its service
	Body    bool   // the request comes as the body

	request protoreflect.MessageDescriptor
	pattern string   // /v1/seasons/{season}/elements
	parts   []string // path between slashes; "{season}" is any
	verb    string   // behind the colon of the last part
}

// Routes are paths of the contract.
type Routes []Route

// RoutesOf reads the paths of the files' services.
func RoutesOf(files ...protoreflect.FileDescriptor) (Routes, error) {
	var list Routes
	for _, file := range files {
		for i := range file.Services().Len() {
			own, err := routesOf(file.Services().Get(i))
			if err != nil {
				return nil, err
			}
			list = append(list, own...)
		}
	}
	return list, nil
}

func routesOf(service protoreflect.ServiceDescriptor) (Routes, error) {
	var list Routes
	methods := service.Methods()
	for i := range methods.Len() {
		m := methods.Get(i)
		if m.IsStreamingServer() { // a stream has a handler of its own
			continue
		}
		bindings, err := route.Bindings(m)
		if err != nil {
			return nil, err
		}
		for _, b := range bindings {
			list = append(list, routeOf(m, b))
		}
	}
	return list, nil
}

func routeOf(m protoreflect.MethodDescriptor, b route.Binding) Route {
	r := Route{
		Method: b.Method, Call: string(m.Name()), Service: string(m.Parent().FullName()), Body: b.Body,
		request: m.Input(), pattern: b.Path,
	}
	path := strings.TrimPrefix(r.pattern, "/")
	if at := strings.LastIndexByte(path, ':'); at > strings.LastIndexByte(path, '/') {
		path, r.verb = path[:at], path[at+1:]
	}
	r.parts = strings.Split(path, "/")
	return r
}

// Match finds the route of a path as it stands in the request line, with the
// values of its variables still escaped. When only other methods have the path,
// it returns those. An escaped slash parts a path as a plain one does, and no
// variable of the contract takes a slash.
func (list Routes) Match(method, path string) (found *Route, variables map[string]string, allowed []string) {
	if strings.Contains(path, "%2F") || strings.Contains(path, "%2f") {
		return nil, nil, nil
	}
	for i := range list {
		r := &list[i]
		values, ok := r.variables(path)
		switch {
		case !ok:
		case r.Method == method:
			return r, values, nil
		case !slices.Contains(allowed, r.Method):
			allowed = append(allowed, r.Method)
		}
	}
	return nil, nil, allowed
}

func (r *Route) variables(path string) (map[string]string, bool) {
	path = strings.TrimPrefix(path, "/")
	if r.verb != "" {
		before, ok := strings.CutSuffix(path, ":"+r.verb)
		if !ok {
			return nil, false
		}
		path = before
	} else if last := path[strings.LastIndexByte(path, '/')+1:]; strings.ContainsRune(last, ':') {
		return nil, false
	}
	var values map[string]string // made for the few routes that have the path
	for i, want := range r.parts {
		part, rest, more := strings.Cut(path, "/")
		path = rest
		if more != (i < len(r.parts)-1) {
			return nil, false
		}
		name, isVariable := strings.CutPrefix(want, "{")
		switch {
		case isVariable && part != "":
			if values == nil {
				values = map[string]string{}
			}
			values[strings.TrimSuffix(name, "}")] = part
		case part != want:
			return nil, false
		}
	}
	return values, true
}
