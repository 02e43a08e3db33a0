package rest

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"google.golang.org/genproto/googleapis/api/annotations"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// route is one REST path of the contract, read from the annotations of its call.
type route struct {
	method  string // GET, POST, …
	pattern string // /v1/seasons/{season}/elements
	call    string // name of the call: ListElements
	service string // full name of its service
	request protoreflect.MessageDescriptor
	body    bool // the request comes as the body

	parts []string // path between slashes; "{season}" is any
	verb  string   // behind the colon of the last part
}

// routes are all paths of the contract.
type routes []route

// routesOf reads the paths of a file's services.
func routesOf(file protoreflect.FileDescriptor) (routes, error) {
	var list routes
	services := file.Services()
	for i := range services.Len() {
		methods := services.Get(i).Methods()
		for j := range methods.Len() {
			m := methods.Get(j)
			rule, _ := proto.GetExtension(m.Options(), annotations.E_Http).(*annotations.HttpRule)
			if rule == nil || m.IsStreamingServer() { // a stream has a handler of its own
				continue
			}
			for _, binding := range append([]*annotations.HttpRule{rule}, rule.GetAdditionalBindings()...) {
				r, err := routeOf(m, binding)
				if err != nil {
					return nil, err
				}
				list = append(list, r)
			}
		}
	}
	return list, nil
}

func routeOf(m protoreflect.MethodDescriptor, rule *annotations.HttpRule) (route, error) {
	r := route{call: string(m.Name()), service: string(m.Parent().FullName()), request: m.Input(), body: rule.GetBody() != ""}
	switch p := rule.GetPattern().(type) {
	case *annotations.HttpRule_Get:
		r.method, r.pattern = http.MethodGet, p.Get
	case *annotations.HttpRule_Post:
		r.method, r.pattern = http.MethodPost, p.Post
	case *annotations.HttpRule_Put:
		r.method, r.pattern = http.MethodPut, p.Put
	case *annotations.HttpRule_Patch:
		r.method, r.pattern = http.MethodPatch, p.Patch
	case *annotations.HttpRule_Delete:
		r.method, r.pattern = http.MethodDelete, p.Delete
	default:
		return route{}, fmt.Errorf("%s: only GET, POST, PUT, PATCH and DELETE are served", m.FullName())
	}
	path := strings.TrimPrefix(r.pattern, "/")
	if at := strings.LastIndexByte(path, ':'); at > strings.LastIndexByte(path, '/') {
		path, r.verb = path[:at], path[at+1:]
	}
	r.parts = strings.Split(path, "/")
	return r, nil
}

// match finds the route of a path as it stands in the request line, with the
// values of its variables still escaped. When only other methods have the path,
// it gives those.
func (list routes) match(method, path string) (found *route, variables map[string]string, allowed []string) {
	for i := range list {
		r := &list[i]
		values, ok := r.variables(path)
		switch {
		case !ok:
		case r.method == method:
			return r, values, nil
		case !slices.Contains(allowed, r.method):
			allowed = append(allowed, r.method)
		}
	}
	return nil, nil, allowed
}

func (r *route) variables(path string) (map[string]string, bool) {
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
	values := map[string]string{}
	for i, want := range r.parts {
		part, rest, more := strings.Cut(path, "/")
		path = rest
		if more != (i < len(r.parts)-1) {
			return nil, false
		}
		name, isVariable := strings.CutPrefix(want, "{")
		switch {
		case isVariable && part != "":
			values[strings.TrimSuffix(name, "}")] = part
		case part != want:
			return nil, false
		}
	}
	return values, true
}
