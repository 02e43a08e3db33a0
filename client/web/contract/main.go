// Command contract writes what the JavaScript client knows of the public contract:
// the path of every call (contract.js) and the type of every message
// (contract.d.ts). "make generate" runs it.
package main

import (
	"bytes"
	"fmt"
	"log"
	"os"
	"slices"
	"strings"

	"google.golang.org/genproto/googleapis/api/annotations"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	_ "github.com/rinktally/rinktally/proto/rinktally/v1" // registers the contract
)

const packageName = "rinktally.v1"

func main() {
	const readable = 0o644
	for name, write := range map[string]func() []byte{"contract.js": paths, "contract.d.ts": types} {
		if err := os.WriteFile(name, write(), readable); err != nil {
			log.Fatal(err)
		}
	}
}

// files are the contract's files by name.
func files() []protoreflect.FileDescriptor {
	var list []protoreflect.FileDescriptor
	protoregistry.GlobalFiles.RangeFilesByPackage(packageName, func(f protoreflect.FileDescriptor) bool {
		list = append(list, f)
		return true
	})
	slices.SortFunc(list, func(a, b protoreflect.FileDescriptor) int { return strings.Compare(a.Path(), b.Path()) })
	return list
}

// calls are the unary calls that have a REST path.
func calls() []protoreflect.MethodDescriptor {
	var list []protoreflect.MethodDescriptor
	for _, f := range files() {
		for i := range f.Services().Len() {
			methods := f.Services().Get(i).Methods()
			for j := range methods.Len() {
				m := methods.Get(j)
				if rule(m) != nil && !m.IsStreamingServer() { // a stream is watched (watch.js), not called
					list = append(list, m)
				}
			}
		}
	}
	return list
}

func rule(m protoreflect.MethodDescriptor) *annotations.HttpRule {
	r, _ := proto.GetExtension(m.Options(), annotations.E_Http).(*annotations.HttpRule)
	return r
}

// paths writes contract.js.
func paths() []byte {
	var out bytes.Buffer
	out.WriteString("// Written by \"make generate\" from the protos.\n\n")
	out.WriteString("// routes has the REST paths of every call: method, path, whether there is a body.\n")
	out.WriteString("export const routes = {\n")
	for _, m := range calls() {
		r := rule(m)
		fmt.Fprintf(&out, "  %s: [", m.Name())
		for i, binding := range append([]*annotations.HttpRule{r}, r.GetAdditionalBindings()...) {
			method, path := methodOf(binding)
			if i > 0 {
				out.WriteString(", ")
			}
			fmt.Fprintf(&out, "[%q, %q, %t]", method, path, binding.GetBody() != "")
		}
		out.WriteString("],\n")
	}
	out.WriteString("};\n")
	return out.Bytes()
}

func methodOf(r *annotations.HttpRule) (method, path string) {
	switch p := r.GetPattern().(type) {
	case *annotations.HttpRule_Get:
		return "GET", p.Get
	case *annotations.HttpRule_Post:
		return "POST", p.Post
	case *annotations.HttpRule_Put:
		return "PUT", p.Put
	case *annotations.HttpRule_Patch:
		return "PATCH", p.Patch
	case *annotations.HttpRule_Delete:
		return "DELETE", p.Delete
	default:
		panic(fmt.Sprintf("a path of an unknown method: %v", r))
	}
}

// types writes contract.d.ts.
func types() []byte {
	var out bytes.Buffer
	out.WriteString("// Written by \"make generate\" from the protos, where every field is explained.\n\n")
	out.WriteString("export type Route = [method: string, path: string, body: boolean];\n")
	out.WriteString("export const routes: Record<keyof Calls, Route[]>;\n\n")
	out.WriteString("/** Calls has the request and the answer of every call. */\n")
	out.WriteString("export interface Calls {\n")
	for _, m := range calls() {
		fmt.Fprintf(&out, "  %s: { request: %s; answer: %s };\n", m.Name(), m.Input().Name(), answer(m.Output()))
	}
	out.WriteString("}\n\n/** Status is an error, as every refused call answers it. */\n")
	out.WriteString("export interface Status {\n  code: number;\n  message: string;\n  details?: Record<string, unknown>[];\n}\n")
	for _, f := range files() {
		for i := range f.Messages().Len() {
			message(&out, f.Messages().Get(i))
		}
	}
	return out.Bytes()
}

// answer is the type of an answer. Over REST a document comes as it is.
func answer(m protoreflect.MessageDescriptor) protoreflect.Name {
	if f := m.Fields().ByName("file"); f != nil && f.Message() != nil && f.Message().Name() == "File" {
		return "Blob"
	}
	return m.Name()
}

// message writes a message, or the names of the enum that it holds.
func message(out *bytes.Buffer, m protoreflect.MessageDescriptor) {
	if m.Enums().Len() == 1 && m.Fields().Len() == 0 {
		values := m.Enums().Get(0).Values()
		names := make([]string, values.Len())
		for i := range names {
			names[i] = fmt.Sprintf("%q", values.Get(i).Name())
		}
		fmt.Fprintf(out, "\nexport type %s =\n  | %s;\n", m.Name(), strings.Join(names, "\n  | "))
		return
	}
	fmt.Fprintf(out, "\nexport interface %s {\n", m.Name())
	for i := range m.Fields().Len() {
		f := m.Fields().Get(i)
		mark := ""
		if mayLack(f) {
			mark = "?"
		}
		fmt.Fprintf(out, "  %s%s: %s;\n", f.JSONName(), mark, typeOf(f))
	}
	out.WriteString("}\n")
}

// mayLack tells that a field can be left out: in requests what is not required,
// in answers what can be unset, since answers have zero values too.
func mayLack(f protoreflect.FieldDescriptor) bool {
	behaviours, _ := proto.GetExtension(f.Options(), annotations.E_FieldBehavior).([]annotations.FieldBehavior)
	if len(behaviours) > 0 {
		return !slices.Contains(behaviours, annotations.FieldBehavior_REQUIRED)
	}
	return f.HasPresence()
}

func typeOf(f protoreflect.FieldDescriptor) string {
	switch {
	case f.IsMap():
		return "Record<string, " + single(f.MapValue()) + ">"
	case f.IsList():
		return single(f) + "[]"
	default:
		return single(f)
	}
}

func single(f protoreflect.FieldDescriptor) string {
	switch f.Kind() {
	case protoreflect.BoolKind:
		return "boolean"
	case protoreflect.Int32Kind, protoreflect.DoubleKind:
		return "number"
	case protoreflect.StringKind, protoreflect.BytesKind, protoreflect.Int64Kind, protoreflect.Uint64Kind:
		return "string" // 64 bits are more than a number of JavaScript holds
	case protoreflect.EnumKind:
		return string(f.Enum().Parent().Name())
	case protoreflect.MessageKind:
		if f.Message().ParentFile().Package() == packageName {
			return string(f.Message().Name())
		}
		if f.Message().FullName() == "google.rpc.Status" {
			return "Status"
		}
		return "string" // google.protobuf.Timestamp and Duration
	default:
		panic(fmt.Sprintf("%s: a kind without a type: %s", f.FullName(), f.Kind()))
	}
}
