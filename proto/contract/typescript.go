package main

import (
	"bytes"
	"fmt"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"
)

const written = "// Written by \"make generate\" from the protos.\n\n"

// javaScript writes contract.js.
func (c *contract) javaScript() []byte {
	var out bytes.Buffer
	out.WriteString(written)
	out.WriteString("// routes has the REST paths of every call: method, path, whether there is a body.\n")
	out.WriteString("export const routes = {\n")
	c.each(func(call *call) {
		fmt.Fprintf(&out, "  %s: [", call.name)
		for i, r := range call.routes {
			if i > 0 {
				out.WriteString(", ")
			}
			fmt.Fprintf(&out, "[%q, %q, %t]", r.method, r.path, r.body)
		}
		out.WriteString("],\n")
	})
	out.WriteString("};\n")
	return out.Bytes()
}

// each calls do with every call that is called: a stream is watched (watch.js).
func (c *contract) each(do func(*call)) {
	for _, s := range c.services {
		for _, call := range s.calls {
			if !call.stream {
				do(call)
			}
		}
	}
}

// typeScript writes contract.d.ts.
func (c *contract) typeScript() []byte {
	var out bytes.Buffer
	out.WriteString(written)
	out.WriteString("export type Route = [method: string, path: string, body: boolean];\n")
	out.WriteString("export const routes: Record<keyof Calls, Route[]>;\n\n")
	out.WriteString("/** Calls has the request and the answer of every call. */\n")
	out.WriteString("export interface Calls {\n")
	c.each(func(call *call) {
		answer := "Blob" // a document comes as it is
		if call.answer != nil {
			answer = call.answer.name
		}
		doc(&out, "  ", call.comment)
		fmt.Fprintf(&out, "  %s: { request: %s; answer: %s };\n", call.name, call.request.name, answer)
	})
	out.WriteString("}\n\n/** Status is an error, as every refused call answers it. */\n")
	out.WriteString("export interface Status {\n  code: number;\n  message: string;\n  details?: Record<string, unknown>[];\n}\n")
	for _, m := range c.messages {
		m.typeScript(&out)
	}
	return out.Bytes()
}

// typeScript writes a message, or the names of an enum.
func (m *message) typeScript(out *bytes.Buffer) {
	out.WriteString("\n")
	doc(out, "", m.comment)
	if m.values != nil {
		fmt.Fprintf(out, "export type %s =", m.name)
		for _, v := range m.values {
			out.WriteString("\n")
			doc(out, "  ", v.comment)
			fmt.Fprintf(out, "  | %q", v.name)
		}
		out.WriteString(";\n")
		return
	}
	if len(m.oneofs) == 0 {
		fmt.Fprintf(out, "export interface %s {\n", m.name)
		for _, f := range m.fields {
			f.typeScript(out, "  ")
		}
		out.WriteString("}\n")
		return
	}
	// One of the members and none of the others.
	fmt.Fprintf(out, "export type %s = {\n", m.name)
	for _, f := range m.fields {
		if f.oneof == "" {
			f.typeScript(out, "  ")
		}
	}
	out.WriteString("}")
	for _, group := range m.oneofs {
		out.WriteString(" & (")
		for _, chosen := range group {
			out.WriteString("\n  | {\n")
			for _, f := range m.fields {
				switch {
				case f.name == chosen:
					one := *f
					one.required = true
					one.typeScript(out, "    ")
				case f.oneof == m.field(chosen).oneof:
					fmt.Fprintf(out, "    %s?: undefined;\n", f.name)
				}
			}
			out.WriteString("  }")
		}
		out.WriteString("\n)")
	}
	out.WriteString(";\n")
}

func (m *message) field(name string) *field {
	for _, f := range m.fields {
		if f.name == name {
			return f
		}
	}
	return nil
}

func (f *field) typeScript(out *bytes.Buffer, indent string) {
	doc(out, indent, f.comment)
	mark := ""
	if !f.required {
		mark = "?"
	}
	t := f.typeOf()
	if f.list {
		t += "[]"
	}
	if f.null {
		t += " | null"
	}
	fmt.Fprintf(out, "%s%s%s: %s;\n", indent, f.name, mark, t)
}

func (f *field) typeOf() string {
	switch f.kind {
	case protoreflect.BoolKind:
		return "boolean"
	case protoreflect.Int32Kind, protoreflect.DoubleKind:
		return "number"
	case protoreflect.StringKind, protoreflect.BytesKind, protoreflect.Int64Kind, protoreflect.Uint64Kind:
		return "string" // 64 bits are more than a number of JavaScript holds
	case protoreflect.EnumKind:
		return f.of.name
	case protoreflect.MessageKind:
		switch {
		case f.of != nil:
			return f.of.name
		case f.foreign == "google.rpc.Status":
			return status
		default:
			return "string" // google.protobuf.Timestamp and Duration
		}
	default:
		panic(fmt.Sprintf("%s: a kind without a type: %s", f.name, f.kind))
	}
}

// doc writes a comment as TypeScript has it.
func doc(out *bytes.Buffer, indent, text string) {
	if text == "" {
		return
	}
	text = strings.ReplaceAll(text, "*/", "*∕")
	lines := strings.Split(text, "\n")
	if len(lines) == 1 {
		fmt.Fprintf(out, "%s/** %s */\n", indent, text)
		return
	}
	fmt.Fprintf(out, "%s/**\n", indent)
	for _, line := range lines {
		fmt.Fprintf(out, "%s\n", strings.TrimRight(indent+" * "+line, " "))
	}
	fmt.Fprintf(out, "%s */\n", indent)
}
