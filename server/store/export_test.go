package store_test

import (
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/sqlite"
)

// sample returns a chain of n records.
func sample(stream string, n int) []store.Record {
	var head store.Head
	made := make([]store.Record, n)
	for i := range made {
		made[i] = store.Record{
			Fact:   store.Fact{Kind: "Kind", Body: fmt.Append(nil, i), Actor: "judge 3"},
			Stream: stream, Seq: uint64(i + 1), RequestID: fmt.Sprint("r", i/2),
			RecordedAt: time.Date(2026, 1, 17, 8, 30, i, 1000, time.UTC),
		}
		made[i].Hash = made[i].Link(head.Hash)
		head = made[i].Head()
	}
	return made
}

// The exported form, word for word: a file of today must be readable for ever.
// The hashes were calculated apart from this program, with Python's hashlib over
// the bytes that Link describes.
const exported = `{"log":"rinktally","format":1,"stream":"events/é"}
{"seq":1,"kind":"Kind","body":"MA==","actor":"judge 3","requestId":"r0","recordedAt":"2026-01-17T08:30:00.000001Z","hash":"d3caacaff17528e93752064b721e36f64e8301d31e7ea5bd37d2cb764b7dec10"}
{"seq":2,"kind":"Kind","body":"MQ==","actor":"judge 3","requestId":"r0","recordedAt":"2026-01-17T08:30:01.000001Z","hash":"66866ee0fae73bd48fab39130eb69771bece4aa899e9aab083a812ddd2740ba9"}
{"records":2,"hash":"66866ee0fae73bd48fab39130eb69771bece4aa899e9aab083a812ddd2740ba9"}
`

func newLog(t testing.TB) *sqlite.Log {
	t.Helper()
	log, err := sqlite.Open(t.Context(), sqlite.Options{Path: sqlite.Memory})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := log.Close(); err != nil {
			t.Error(err)
		}
	})
	return log
}

func TestExportedForm(t *testing.T) {
	log := newLog(t)
	if err := log.Restore(t.Context(), sample("events/é", 2)); err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if err := store.Export(t.Context(), log, &file, store.Selection{Streams: []string{"events/é"}}); err != nil {
		t.Fatal(err)
	}
	if file.String() != exported {
		t.Errorf("got\n%s\nwant\n%s", file.String(), exported)
	}
	if err := store.Export(t.Context(), log, &file, store.Selection{Streams: []string{"events/none"}}); !errors.Is(err, store.ErrStreamUnknown) {
		t.Errorf("of a stream that does not exist: %v", err)
	}
}

// The link of a record, calculated apart from this program with Python's hashlib.
func TestLink(t *testing.T) {
	r := store.Record{
		Fact: store.Fact{Kind: "K", Body: []byte{0xff}, Actor: "A"}, Stream: "S", Seq: 258, RequestID: "R",
		RecordedAt: time.UnixMicro(3).UTC(),
	}
	var ahead store.Hash
	for i := range ahead {
		ahead[i] = 1
	}
	if got := r.Link(ahead).String(); got != "8b4dc0d4f1060349a2139695489fe16c85114ad0d3f0527f965f2b3999c5eb42" {
		t.Error(got)
	}
}

// Every change of a file is found, with its line.
func TestParseFindsDamage(t *testing.T) {
	lines := strings.SplitAfter(exported, "\n")[:4]
	longest := strings.Repeat("x", 2*store.Limits.File)
	cases := map[string]struct {
		text string
		line int
		says string
	}{
		"cut after the first line": {lines[0], 2, "cut short"},
		"cut after a record":       {lines[0] + lines[1], 3, "cut short"},
		"cut within a record":      {lines[0] + lines[1][:50], 2, "expected a record"},
		"cut before the end":       {lines[0] + lines[1] + lines[2], 4, "cut short"},
		"cut within the end":       {lines[0] + lines[1] + lines[2] + lines[3][:20], 4, "closes"},
		"no beginning":             {lines[1] + lines[2] + lines[3], 1, "opens"},
		"only the end":             {lines[3], 1, "opens"},
		"no records":               {lines[0] + lines[3], 2, "found 0 records"},
		"record missing":           {lines[0] + lines[2] + lines[3], 2, "missing"},
		"record twice":             {lines[0] + lines[1] + lines[1] + lines[2] + lines[3], 3, "out of order"},
		"last record missing":      {lines[0] + lines[1] + lines[3], 3, "found 1 records"},
		"body changed":             {strings.Replace(exported, "MQ==", "Mg==", 1), 3, "was changed"},
		"actor changed":            {strings.Replace(exported, "judge 3", "judge 4", 1), 2, "was changed"},
		"stream renamed":           {strings.Replace(exported, "events/é", "events/e", 1), 2, "was changed"},
		"time back":                {strings.Replace(exported, "30:01", "29:01", 1), 3, "the hash does not fit"},
		"time too fine":            {strings.Replace(exported, "0001Z", "00015Z", 1), 2, "microseconds"},
		"number of records":        {strings.Replace(exported, `"records":2`, `"records":3`, 1), 4, "closes with record 3"},
		"kind empty":               {strings.Replace(exported, `"Kind"`, `""`, 1), 2, "kind: empty"},
		"field unknown":            {strings.Replace(exported, `"kind"`, `"Kint"`, 1), 2, "unknown field"},
		"two objects":              {strings.Replace(exported, "}\n{\"seq\":2", "}{\"seq\":2", 1), 2, "more text"},
		"another format":           {strings.Replace(exported, `"format":1`, `"format":2`, 1), 1, "format 2"},
		"another file":             {"PK\x03\x04", 1, "opens"},
		"a hash too long":          {lines[0] + strings.Replace(lines[1], `"}`, `0"}`, 1), 2, "64 hexadecimal digits"},
		"a line too long":          {lines[0] + longest, 2, "longer than"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			var err error
			for _, e := range store.Parse(strings.NewReader(c.text)) {
				err = e
			}
			var damage *store.DamagedError
			if !errors.As(err, &damage) || damage.Line != c.line || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%v; want line %d and %q", err, c.line, c.says)
			}
			if err != nil && len(err.Error()) > 400 {
				t.Errorf("a message of %d characters", len(err.Error()))
			}
		})
	}
}

func TestParseAccepts(t *testing.T) {
	for name, text := range map[string]string{
		"as it is":         exported,
		"empty lines":      "\n" + strings.ReplaceAll(exported, "\n", "\n\n"),
		"from Windows":     strings.ReplaceAll(exported, "\n", "\r\n"),
		"no last new line": strings.TrimSpace(exported),
		"another time zone": strings.Replace(exported, "2026-01-17T08:30:00.000001Z",
			"2026-01-17T09:30:00.000001+01:00", 1),
	} {
		streams := 0
		for part, err := range store.Parse(strings.NewReader(text)) {
			if streams++; err != nil || len(part.Records) != 2 {
				t.Errorf("%s: %+v, %v", name, part, err)
			}
		}
		if streams != 1 {
			t.Errorf("%s: %d streams", name, streams)
		}
	}
	for _, err := range store.Parse(strings.NewReader("\n\n")) {
		t.Errorf("an empty file: %v", err)
	}
}

// A file that is damaged gives the streams before the damage, whole, and nothing of
// the damaged one.
func TestParseOfHalfAFile(t *testing.T) {
	log := newLog(t)
	var fault error
	for part, err := range store.Parse(strings.NewReader(exported + strings.Replace(exported, "é", "e", 1))) {
		if fault = err; err == nil {
			fault = part.Bring(t.Context(), log)
		}
	}
	if !errors.Is(fault, store.ErrDamaged) {
		t.Error(fault)
	}
	if streams, err := log.Streams(t.Context(), "", 0); err != nil || len(streams) != 1 || streams[0] != "events/é" {
		t.Errorf("%q, %v", streams, err)
	}
}

// Whatever a file holds: an error or whole streams, and those can be stored and
// come out as they went in.
func FuzzParse(f *testing.F) {
	f.Add([]byte(exported))
	f.Add([]byte(exported + exported))
	f.Add([]byte(strings.Replace(exported, "MQ==", "\x00", 1)))
	f.Add([]byte(`{"log":"rinktally","format":1,"stream":""}` + "\n" + `{"records":0,"hash":""}`))
	f.Fuzz(func(t *testing.T, file []byte) {
		for part, err := range store.Parse(bytes.NewReader(file)) {
			if err != nil {
				if !errors.Is(err, store.ErrDamaged) {
					t.Errorf("%v is no DamagedError", err)
				}
				return
			}
			if part.File != "" {
				continue
			}
			if err := store.CheckRestore(part.Records); err != nil {
				t.Fatalf("parsed, but not storable: %v", err)
			}
		}
	})
}

func TestHashText(t *testing.T) {
	var h store.Hash
	for _, text := range []string{"", "00", strings.Repeat("0", 63), strings.Repeat("g", 64), strings.Repeat("0", 65)} {
		if err := h.UnmarshalText([]byte(text)); err == nil {
			t.Errorf("accepted %q", text)
		}
	}
	text := hex.EncodeToString(bytes.Repeat([]byte{0xab}, 32))
	if err := h.UnmarshalText([]byte(text)); err != nil || h.String() != text {
		t.Errorf("%v, %v", h, err)
	}
}
