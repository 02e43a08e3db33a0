package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/descriptorpb"
)

func kept(t *testing.T) *contract {
	t.Helper()
	data, err := os.ReadFile("../contract.binpb")
	if err != nil {
		t.Fatal(err)
	}
	var set descriptorpb.FileDescriptorSet
	if err := proto.Unmarshal(data, &set); err != nil {
		t.Fatal(err)
	}
	c, err := readFiles(&set)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// What the encoder of answers and the reader of requests do with each kind of field,
// as both documents have it.
func TestFields(t *testing.T) {
	c := kept(t)
	for field, want := range map[string]string{
		"ScoreSegmentRequest.category":   "category: string",
		"ScoreSegmentRequest.explain":    "explain?: boolean",
		"ScoreSegmentResponse.rules":     "rules: RulesInfo | null", // an unset message
		"ScoreSegmentResponse.warnings":  "warnings: Warning[]",
		"Finding.element":                "element?: number", // "optional"
		"SegmentResult.error":            "error?: Status",   // a member of a oneof
		"Event.sequence":                 "sequence: string", // 64 bits
		"Event.panel":                    "panel: EventPanel | null",
		"SetPanelRequest.panel":          "panel: EventPanelInput", // the message is in answers too
		"EventPanelInput.judges":         "judges?: number",
		"CallLevelsRequest.elements":     "elements: LevelledElement[]", // answers came to have it later
		"Attempt.level":                  "level: LevelledElementOutput | null",
		"AttemptInput.level":             "level?: LevelledElement",
		"EventPanel.judges":              "judges: number",
		"TokenInfo.expireTime":           "expireTime: string | null", // a time
		"WatchEventResponse.sequence":    "sequence: string",
		"WatchEventResponse.event":       "event?: Event", // absent where it has not changed
		"WatchEventResponse.performance": "performance?: PerformanceChange",
		"PerformanceChange.entry":        "entry: string",
		"PerformanceChange.elements":     "elements?: PerformedElement[]",
		"ScoreboardChange.skater":        "skater?: ScoreboardSkater | null", // changed to nobody
	} {
		name, member, _ := strings.Cut(field, ".")
		m := c.message(name)
		if m == nil || m.field(member) == nil {
			t.Errorf("there is no %s", field)
			continue
		}
		var out bytes.Buffer
		m.field(member).typeScript(&out, "")
		if got := strings.TrimSuffix(out.String(), ";\n"); got != want {
			t.Errorf("%s is %q, want %q", field, got, want)
		}
	}
	for _, name := range []string{"GetDocumentResponse", "File", "WatchScoreboardResponse", "ScoreSegmentsRequest"} {
		if c.message(name) != nil {
			t.Errorf("%s never comes over REST as JSON", name)
		}
	}
}

// A comment is one sentence and what follows; a call's begins with its name.
func TestHeadline(t *testing.T) {
	for comment, want := range map[string][2]string{
		"GetThing shows a thing.":                                 {"Shows a thing", ""},
		"GetThing shows a thing\nover two lines. And\nsays more.": {"Shows a thing over two lines", "And says more."},
		"GetThing shows a thing.\n\nAnother paragraph.":           {"Shows a thing", "Another paragraph."},
	} {
		if summary, rest := headline("GetThing", comment); summary != want[0] || rest != want[1] {
			t.Errorf("%q: %q and %q", comment, summary, rest)
		}
	}
}

// An example has the values of the variables of its path.
func TestExampleValues(t *testing.T) {
	for _, c := range []struct{ given, path, want string }{
		{"/v1/events/cup/entries/3:withdraw", "/v1/events/{event}/entries/{entry}:withdraw", "cup 3"},
		{"/v1/events/cup:watch", "/v1/events/{event}:watch", "cup "},
		{"/v1/events/cup?entry=7", "/v1/events/{event}", "cup 7"},
	} {
		values, err := example{Path: c.given}.values(c.path)
		event, _ := values["event"].(string)
		entry, _ := values["entry"].(string)
		if got := event + " " + entry; err != nil || got != c.want {
			t.Errorf("%s: %q, %v", c.given, got, err)
		}
	}
	if _, err := (example{Path: "/v1/seasons"}).values("/v1/events/{event}"); err == nil {
		t.Error("a path of another call is taken")
	}
}
