// Package route reads the REST paths that the contract states for its methods.
package route

import (
	"fmt"

	"google.golang.org/genproto/googleapis/api/annotations"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// Binding is one path of a method.
type Binding struct {
	Method string // of HTTP
	Path   string // with its variables in braces, such as /v1/events/{event}
	Body   bool   // the request stands in the body, but for the path's variables
}

// Bindings returns the paths of a method in the order of the contract; a method
// without a path has none. An error names a method whose path has another method than
// GET, POST, PUT, PATCH or DELETE.
func Bindings(m protoreflect.MethodDescriptor) ([]Binding, error) {
	first, _ := proto.GetExtension(m.Options(), annotations.E_Http).(*annotations.HttpRule)
	if first == nil {
		return nil, nil
	}
	list := make([]Binding, 0, 1+len(first.GetAdditionalBindings()))
	for _, rule := range append([]*annotations.HttpRule{first}, first.GetAdditionalBindings()...) {
		b := Binding{Body: rule.GetBody() != ""}
		switch p := rule.GetPattern().(type) {
		case *annotations.HttpRule_Get:
			b.Method, b.Path = "GET", p.Get
		case *annotations.HttpRule_Post:
			b.Method, b.Path = "POST", p.Post
		case *annotations.HttpRule_Put:
			b.Method, b.Path = "PUT", p.Put
		case *annotations.HttpRule_Patch:
			b.Method, b.Path = "PATCH", p.Patch
		case *annotations.HttpRule_Delete:
			b.Method, b.Path = "DELETE", p.Delete
		default:
			return nil, fmt.Errorf("%s: only GET, POST, PUT, PATCH and DELETE are served", m.FullName())
		}
		list = append(list, b)
	}
	return list, nil
}
