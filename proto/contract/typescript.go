package main

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"

	"github.com/rinktally/rinktally/client/policy"
)

const written = "// Written by \"make generate\" from the protos.\n\n"

// javaScript writes contract.js.
func (c *contract) javaScript() []byte {
	var out bytes.Buffer
	out.WriteString(written)
	out.WriteString("// calls has every call: its REST paths (method, path, whether there is a body); changes, by\n" +
		"// whose requestId a server recognizes a call that is made again; once, which are not made\n" +
		"// again, since the answer shows a secret; file, whose answer is a document as it is.\n")
	out.WriteString("export const calls = {\n")
	c.each(func(call *call) {
		var routes, traits []string
		for _, r := range call.routes {
			routes = append(routes, fmt.Sprintf("[%q, %q, %t]", r.method, r.path, r.body))
		}
		for _, trait := range []struct {
			name string
			has  bool
		}{{"changes", call.changes}, {"once", call.once}, {"file", call.file}} {
			if trait.has {
				traits = append(traits, ", "+trait.name+": true")
			}
		}
		fmt.Fprintf(&out, "  %s: { routes: [%s]%s },\n", call.name, strings.Join(routes, ", "), strings.Join(traits, ""))
	})
	out.WriteString("};\n\n// again is how often and when a call is made again, as by the Go client; times in milliseconds.\n")
	fmt.Fprintf(&out, "export const again = { attempts: %d, pause: %d, maxPause: %d, jitter: %v };\n",
		policy.Attempts, policy.Pause.Milliseconds(), policy.MaxPause.Milliseconds(), policy.Jitter)
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
	out.WriteString("/** Calls has the request and the answer of every call. */\n")
	out.WriteString("export interface Calls {\n")
	c.each(func(call *call) {
		doc(&out, "  ", call.comment)
		fmt.Fprintf(&out, "  %s: { request: %s; answer: %s };\n", call.name, call.request.name, call.returns())
	})
	out.WriteString("}\n")
	c.methods(&out)
	out.WriteString("\n/** Status is an error, as every refused call answers it. */\n")
	out.WriteString("export interface Status {\n  code: number;\n  message: string;\n  details?: Record<string, unknown>[];\n}\n")
	for _, m := range c.messages {
		m.typeScript(&out)
	}
	return out.Bytes()
}

// methods writes the services with their calls as methods.
func (c *contract) methods(out *bytes.Buffer) {
	out.WriteString("\n/** What a call takes beside its request. */\nexport interface CallOptions {\n" +
		"  /** Ends the call, which throws the signal's reason then. */\n  signal?: AbortSignal;\n}\n")
	for _, s := range c.services {
		out.WriteString("\n")
		doc(out, "", s.comment)
		fmt.Fprintf(out, "export interface %s {\n", s.name)
		for _, call := range s.calls {
			if call.stream {
				continue
			}
			doc(out, "  ", call.comment)
			mark := "?"
			if call.request.needed() {
				mark = ""
			}
			fmt.Fprintf(out, "  %s(request%s: %s, options?: CallOptions): Promise<%s>;\n", call.method(), mark, call.request.name, call.returns())
		}
		out.WriteString("}\n")
	}
	out.WriteString("\n/** Methods are the calls of all services. */\nexport interface Methods extends ")
	for i, s := range c.services {
		if i > 0 {
			out.WriteString(", ")
		}
		out.WriteString(s.name)
	}
	out.WriteString(" {}\n")
}

// returns names the type of an answer: a document comes as it is.
func (c *call) returns() string {
	if c.answer == nil {
		return "Blob"
	}
	return c.answer.name
}

// needed reports whether a request cannot be left out.
func (m *message) needed() bool {
	return len(m.oneofs) > 0 || slices.ContainsFunc(m.fields, func(f *field) bool { return f.required })
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
