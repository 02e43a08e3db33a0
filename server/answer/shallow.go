package answer

import (
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// Shallow returns a message that shares its members with another.
func Shallow[M proto.Message](of M) M {
	out := of.ProtoReflect().New()
	of.ProtoReflect().Range(func(field protoreflect.FieldDescriptor, value protoreflect.Value) bool {
		out.Set(field, value)
		return true
	})
	return out.Interface().(M) //nolint:forcetypeassert // New makes the same type
}
