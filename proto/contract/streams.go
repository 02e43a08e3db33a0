package main

import (
	"fmt"
	"slices"

	"google.golang.org/protobuf/reflect/protoreflect"
)

// event is a Server-Sent Event of a stream: what its data is and when it comes.
type event struct {
	name, about string
	of          *message
}

// status is the error, which is no message of the contract's own.
const status = "Status"

// streams are the events that each call with a stream sends over REST: the protos
// describe the stream of gRPC.
var streams = map[string][]struct{ name, of, about string }{
	"WatchScoreboard": {
		{"scoreboard", "Scoreboard", "The scoreboard at the start and after every change that can be seen on it."},
		{"scoreboard", "ScoreboardChange", "Instead of it, with changes=true: the members that have changed, each of them whole."},
		{"reset", "Scoreboard", "A scoreboard that replaces what the watcher has, since the changes before it are not sent one by one."},
		{"heartbeat", "Heartbeat", "Nothing has changed for 15 seconds; the stream lives."},
	},
	"WatchEvent": {
		{"change", "WatchEventResponse", "What the caller may read at the start, then what has changed of it."},
		{"reset", "WatchEventResponse", "What replaces all that the watcher has."},
		{"heartbeat", "Heartbeat", "Nothing that the caller may read has changed for 15 seconds; the stream lives."},
		{"end", status, "Why the server ends the stream."},
	},
}

// changes are the messages that streams send in part: what has not changed is absent.
var changes = []struct {
	name, of string
	always   []string
	comment  string
}{
	{"ScoreboardChange", "Scoreboard", []string{"event", "sequence", "time"},
		"ScoreboardChange is the members of a scoreboard that have changed, each of them\nwhole. A member that is absent has not changed."},
	{"PerformanceChange", "Performance", []string{"category", "segment", "entry"},
		"PerformanceChange is what has changed of a performance. Its lists hold only the\nitems that are new or have changed."},
	{"WatchEventResponse", "WatchEventResponse", []string{"sequence", "reset"}, ""},
}

// addStreams makes the events of every stream and the messages that they need.
func (w *walker) addStreams(all *contract) {
	for _, change := range changes {
		w.made[change.name] = w.change(change.name, change.of, change.always, change.comment)
	}
	for _, f := range w.made["WatchEventResponse"].fields {
		f.null = false // it is absent instead
		if f.name == "performance" {
			f.of = w.made["PerformanceChange"]
		}
	}
	for _, s := range all.services {
		for _, c := range s.calls {
			if c.stream && streams[c.name] == nil {
				panic(fmt.Sprintf("%s: no row says which events it sends over REST", c.name))
			}
			for _, e := range streams[c.name] {
				c.events = append(c.events, event{e.name, e.about, w.sent(e.of)})
			}
		}
	}
}

// change is a message of which only some fields always come.
func (w *walker) change(name, of string, always []string, comment string) *message {
	whole := w.sent(of)
	part := &message{name: name, comment: whole.comment, file: whole.file}
	if comment != "" {
		part.comment = comment
	}
	for _, f := range whole.fields {
		f := *f
		f.required = slices.Contains(always, f.name)
		part.fields = append(part.fields, &f)
	}
	return part
}

// sent is a message that a stream sends.
func (w *walker) sent(name string) *message {
	if made := w.made[name]; made != nil {
		return made
	}
	if name == status {
		return &message{name: status}
	}
	for _, f := range w.files {
		if d := f.Messages().ByName(protoreflect.Name(name)); d != nil {
			w.use(d, inAnswer)
			return w.message(d, inAnswer)
		}
	}
	panic("a stream sends " + name + ", which is no message of the protos")
}
