package main

import (
	"fmt"
	"slices"
	"strings"

	"google.golang.org/genproto/googleapis/api/annotations"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protodesc"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/descriptorpb"

	"github.com/rinktally/rinktally/client/policy"
	"github.com/rinktally/rinktally/proto/route"
)

const packageName = "rinktally.v1"

// contract is what REST and JavaScript callers see of the protos: the calls that have
// a path, and the messages that those use.
type contract struct {
	services []*service
	messages []*message // by file and place in it
}

// message returns the message or enum of a name, nil when there is none.
func (c *contract) message(name string) *message {
	for _, m := range c.messages {
		if m.name == name {
			return m
		}
	}
	return nil
}

type service struct {
	name, comment string
	calls         []*call
}

// call is a call with its paths.
type call struct {
	service *service
	name    string
	comment string
	routes  []path
	request *message
	answer  *message // nil where it is a document or a stream
	file    bool     // the answer is a document as it is
	stream  bool     // the answer is a stream
	changes bool     // it has a request id
	once    bool     // it is never made again
	events  []event  // of a stream, over REST
}

// method is what the call is named as a method: scoreSegment.
func (c *call) method() string { return strings.ToLower(c.name[:1]) + c.name[1:] }

// path is one path of a call.
type path struct {
	method, path string
	body         bool
	variables    []string // JSON names of the fields in the path
}

// form is how a message is written. An answer has every field, and null where a
// message is unset; a request only what its caller must or wants to say.
type form int

const (
	inAnswer form = iota
	inRequest
)

// message is a message in one form, or the names of an enum.
type message struct {
	name    string
	comment string
	form    form
	fields  []*field
	values  []value    // of an enum; nil in messages
	oneofs  [][]string // members that exclude each other
	bound   []string   // fields that a path may bind
	file    string     // where it stands
}

type value struct{ name, comment string }

// field is a field as JSON has it.
type field struct {
	name     string
	comment  string
	kind     protoreflect.Kind
	of       *message // of messages and enums of the contract
	foreign  protoreflect.FullName
	list     bool
	required bool   // always there
	null     bool   // may be null
	oneof    string // it excludes the others of the group
}

// readFiles makes the contract of what a compiler read.
func readFiles(set *descriptorpb.FileDescriptorSet) (*contract, error) {
	files, err := protodesc.NewFiles(set)
	if err != nil {
		return nil, err
	}
	w := &walker{made: map[string]*message{}, used: map[form]map[protoreflect.FullName]bool{inAnswer: {}, inRequest: {}}}
	files.RangeFilesByPackage(packageName, func(f protoreflect.FileDescriptor) bool {
		w.files = append(w.files, f)
		return true
	})
	slices.SortFunc(w.files, func(a, b protoreflect.FileDescriptor) int { return strings.Compare(a.Path(), b.Path()) })
	return w.contract(), nil
}

// walker walks the descriptors.
type walker struct {
	files []protoreflect.FileDescriptor
	used  map[form]map[protoreflect.FullName]bool
	made  map[string]*message // by name in the contract
}

func (w *walker) contract() *contract {
	all := &contract{}
	each(w.files, func(m protoreflect.MethodDescriptor) {
		w.use(m.Input(), inRequest)
		if fileOf(m) == nil && !m.IsStreamingServer() {
			w.use(m.Output(), inAnswer)
		}
	})
	each(w.files, func(m protoreflect.MethodDescriptor) {
		name := string(m.Parent().Name())
		if len(all.services) == 0 || all.services[len(all.services)-1].name != name {
			all.services = append(all.services, &service{name: name, comment: comment(m.Parent())})
		}
		s := all.services[len(all.services)-1]
		c := &call{
			service: s, name: string(m.Name()), comment: comment(m), request: w.message(m.Input(), inRequest),
			file: fileOf(m) != nil, stream: m.IsStreamingServer(),
			changes: policy.RequestID(m.Input()) != nil, once: !policy.Repeats(m),
		}
		if !c.file && !c.stream {
			c.answer = w.message(m.Output(), inAnswer)
		}
		for _, binding := range bindings(m) {
			r := pathOf(m, binding)
			c.routes = append(c.routes, r)
			for _, v := range r.variables {
				if !slices.Contains(c.request.bound, v) {
					c.request.bound = append(c.request.bound, v)
				}
			}
		}
		s.calls = append(s.calls, c)
	})
	w.addStreams(all)
	for _, f := range w.files {
		var here []string
		for i := range f.Messages().Len() {
			m := f.Messages().Get(i)
			if m.Enums().Len() == 1 && m.Fields().Len() == 0 {
				w.enum(m.Enums().Get(0))
			}
			here = append(here, string(m.Name()), string(m.Name())+"Input", string(m.Name())+"Output", string(m.Name())+"Change")
		}
		for _, name := range here {
			if m := w.made[name]; m != nil && m.file == f.Path() && !slices.Contains(all.messages, m) {
				all.messages = append(all.messages, m)
			}
		}
	}
	return all
}

// each calls do with every method that has a path.
func each(files []protoreflect.FileDescriptor, do func(protoreflect.MethodDescriptor)) {
	for _, f := range files {
		for i := range f.Services().Len() {
			methods := f.Services().Get(i).Methods()
			for j := range methods.Len() {
				if m := methods.Get(j); len(bindings(m)) > 0 {
					do(m)
				}
			}
		}
	}
}

// bindings are the paths of a method.
func bindings(m protoreflect.MethodDescriptor) []route.Binding {
	list, err := route.Bindings(m)
	if err != nil {
		panic(err)
	}
	return list
}

func pathOf(m protoreflect.MethodDescriptor, b route.Binding) path {
	out := path{method: b.Method, path: b.Path, body: b.Body}
	for _, part := range strings.Split(out.path, "{")[1:] {
		name, _, _ := strings.Cut(part, "}")
		f := m.Input().Fields().ByName(protoreflect.Name(name))
		if f == nil {
			panic(fmt.Sprintf("%s: the path has {%s}, the request has no such field", m.FullName(), name))
		}
		out.variables = append(out.variables, f.JSONName())
	}
	return out
}

// fileOf returns the field of an answer that is a document: over REST it is the
// answer itself.
func fileOf(m protoreflect.MethodDescriptor) protoreflect.FieldDescriptor {
	f := m.Output().Fields().ByName("file")
	if f == nil || f.Message() == nil || f.Message().Name() != "File" {
		return nil
	}
	return f
}

// use notes in which form messages are written.
func (w *walker) use(m protoreflect.MessageDescriptor, in form) {
	if m.ParentFile().Package() != packageName || w.used[in][m.FullName()] {
		return
	}
	w.used[in][m.FullName()] = true
	for i := range m.Fields().Len() {
		if of := m.Fields().Get(i).Message(); of != nil {
			w.use(of, in)
		}
	}
}

// requestsFirst are the messages that only requests had when they were published. Answers
// have come to show them too; programs know the requests' form by the name.
var requestsFirst = []protoreflect.Name{
	"Ability", "PlannedElement", "LevelledElement", "Spin", "SpinFoot", "SpinPosition", "StepSequence", "Turns",
	"PairLift", "LiftFeature", "TwistLift", "DeathSpiral", "PairSpin", "PairSpinPosition", "PartnerPosition",
	"PatternDance", "DanceElement", "DancePart",
}

// nameOf is the name of a message in a form. Where it has both, the request's has a
// name of its own, or the answer's where the request's was there first.
func (w *walker) nameOf(m protoreflect.MessageDescriptor, in form) string {
	first := slices.Contains(requestsFirst, m.Name())
	switch {
	case in == inRequest && !first && w.used[inAnswer][m.FullName()]:
		return string(m.Name()) + "Input"
	case in == inAnswer && first && w.used[inRequest][m.FullName()]:
		return string(m.Name()) + "Output"
	}
	return string(m.Name())
}

func (w *walker) message(m protoreflect.MessageDescriptor, in form) *message {
	name := w.nameOf(m, in)
	if made := w.made[name]; made != nil {
		return made
	}
	out := &message{name: name, comment: comment(m), form: in, file: m.ParentFile().Path()}
	w.made[name] = out
	for i := range m.Fields().Len() {
		out.fields = append(out.fields, w.field(m.Fields().Get(i), in))
	}
	for i := range m.Oneofs().Len() {
		one := m.Oneofs().Get(i)
		if one.IsSynthetic() {
			continue
		}
		var group []string
		for j := range one.Fields().Len() {
			group = append(group, one.Fields().Get(j).JSONName())
		}
		out.oneofs = append(out.oneofs, group)
	}
	return out
}

// enum is the message that holds an enum for its name.
func (w *walker) enum(e protoreflect.EnumDescriptor) *message {
	holder := e.Parent()
	name := string(holder.Name())
	if made := w.made[name]; made != nil {
		return made
	}
	out := &message{name: name, comment: comment(holder), file: e.ParentFile().Path()}
	for i := range e.Values().Len() {
		v := e.Values().Get(i)
		out.values = append(out.values, value{string(v.Name()), comment(v)})
	}
	w.made[name] = out
	return out
}

func (w *walker) field(f protoreflect.FieldDescriptor, in form) *field {
	if f.IsMap() {
		panic(fmt.Sprintf("%s: no document has a form for maps yet", f.FullName()))
	}
	one := f.ContainingOneof()
	out := &field{name: f.JSONName(), comment: comment(f), kind: f.Kind(), list: f.IsList()}
	if one != nil && !one.IsSynthetic() {
		out.oneof = string(one.Name())
	}
	switch m := f.Message(); {
	case f.Enum() != nil:
		out.of = w.enum(f.Enum())
	case m != nil && m.ParentFile().Package() == packageName:
		out.of = w.message(m, in)
	case m != nil:
		out.foreign = m.FullName()
	}
	if in == inRequest {
		behaviours, _ := proto.GetExtension(f.Options(), annotations.E_FieldBehavior).([]annotations.FieldBehavior)
		out.required = slices.Contains(behaviours, annotations.FieldBehavior_REQUIRED)
		return out
	}
	// The encoder writes every field, an unset message as null; it leaves out unset
	// members of a oneof, to which it counts what is "optional".
	out.required = one == nil
	out.null = out.required && !out.list && f.Message() != nil
	return out
}

// comment is the comment over a descriptor, its lines as they stand.
func comment(d protoreflect.Descriptor) string {
	text := d.ParentFile().SourceLocations().ByDescriptor(d).LeadingComments
	lines := strings.Split(strings.TrimSpace(text), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(strings.TrimPrefix(lines[i], " "), " ")
	}
	return strings.Join(lines, "\n")
}
