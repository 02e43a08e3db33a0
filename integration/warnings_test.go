package integration_test

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"github.com/rinktally/rinktally/client"
	"github.com/rinktally/rinktally/client/offline"
	"github.com/rinktally/rinktally/integration/protocols"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// mostWarnings is how many warnings a healthy program may have.
const mostWarnings = 2

// firstOfEra is the first season whose healthy programs are counted.
const firstOfEra = "2018-19"

// TestPrintedIsNotFromMemory scores every published sheet: what it prints, the
// values, grades, components, factors and deductions, must not be called from
// memory, since it was read there. What is checked beside it is that a warning
// names one rule of the season, how surely that is known, and fields of the request.
func TestPrintedIsNotFromMemory(t *testing.T) {
	sheets, requests := published(t)
	check := newWarningChecker(t)
	warned := 0
	for i := range sheets {
		req := &pb.ScoreSegmentRequest{}
		if err := protojson.Unmarshal(requests[i], req); err != nil {
			t.Fatal(err)
		}
		answer, err := check.authority.ScoreSegment(t.Context(), req)
		if err != nil {
			t.Errorf("%v: %v", &sheets[i], err)
			continue
		}
		check.warnings(sheets[i].String(), req, answer.GetWarnings())
		for _, w := range answer.GetWarnings() {
			warned++
			if w.GetConfidence() == string(rules.Memory) {
				t.Errorf("%v: what it prints is said to be from memory: %v", &sheets[i], w)
			}
		}
	}
	t.Logf("%d sheets have %d warnings", len(sheets), warned)
}

// TestHealthyPrograms checks that a program in which nothing is wrong is not
// buried under warnings, whatever is asked of it. Healthy are the programs of the
// published sheets since 2018-19 that lose nothing by the rules of content.
func TestHealthyPrograms(t *testing.T) {
	sheets, requests := published(t)
	check := newWarningChecker(t)
	healthy := map[string]int{} // by season, category and segment
	for i := range sheets {
		s := &sheets[i]
		struck := func(e protocols.Element) bool { return strings.Contains(e.Code, "*") }
		if s.Season < firstOfEra || slices.ContainsFunc(s.Elements, struck) {
			continue
		}
		marked := &pb.ScoreSegmentRequest{}
		if err := protojson.Unmarshal(requests[i], marked); err != nil {
			t.Fatal(err)
		}
		key := s.Season + " " + marked.GetCategory() + " " + marked.GetSegment()
		healthy[key] += 0
		program := &pb.CheckProgramRequest{Season: marked.GetSeason(), Category: marked.GetCategory(), Segment: marked.GetSegment(), Scope: marked.GetScope()}
		codes := &pb.ValueElementsRequest{Season: marked.GetSeason(), Category: marked.GetCategory(), Segment: marked.GetSegment(), Scope: marked.GetScope()}
		for _, e := range marked.GetElements() {
			program.Elements = append(program.Elements, &pb.PlannedElement{Code: e.GetCode(), SecondHalf: e.GetSecondHalf()})
			codes.Elements = append(codes.Elements, &pb.SkatedElement{Code: e.GetCode(), SecondHalf: e.GetSecondHalf()})
		}
		checked, err := check.authority.CheckProgram(t.Context(), program)
		if err != nil {
			t.Errorf("%v: %v", s, err)
			continue
		}
		lost := func(f *pb.Finding) bool { return f.GetSeverity() != pb.Severity_INFO }
		if slices.ContainsFunc(checked.GetFindings(), lost) {
			continue
		}
		healthy[key]++
		check.few(s.String()+", checked", program, checked.GetWarnings(), mostWarnings)
		valued, err := check.authority.ValueElements(t.Context(), codes)
		if err != nil {
			t.Errorf("%v: %v", s, err)
			continue
		}
		check.few(s.String()+", valued", codes, valued.GetWarnings(), mostWarnings)
		scored, err := check.authority.ScoreSegment(t.Context(), marked)
		if err != nil {
			t.Errorf("%v: %v", s, err)
			continue
		}
		check.few(s.String()+", scored", marked, scored.GetWarnings(), mostWarnings)
	}
	all := 0
	for _, key := range rules.SortedKeys(healthy) {
		if all += healthy[key]; healthy[key] == 0 {
			t.Errorf("%s: no program is healthy", key)
		}
	}
	t.Logf("%d programs of %d segments are healthy", all, len(healthy))
}

// TestHealthyLevels is the same for levels: of the spins and the step sequence of a
// segment. The rest of a pair program rests on lists of features that no text of its
// seasons confirms; each kind of element, or all together, may make one warning.
func TestHealthyLevels(t *testing.T) {
	check := newWarningChecker(t)
	singles := []string{"senior-men", "senior-women", "junior-men", "junior-women"}
	pairs := []string{"senior-pairs", "junior-pairs"}
	for _, set := range []struct {
		categories []string
		segments   []string
		elements   []string
		most       int
	}{
		{singles, []string{"short-program", "free-skating"}, []string{flyingSpin, soloSpin, stepSequence}, mostWarnings},
		{pairs, []string{"short-program"}, []string{soloSpin, stepSequence}, mostWarnings},
		{pairs, []string{"free-skating"}, []string{pairSpin}, mostWarnings},
		{pairs, []string{"short-program"}, []string{twistLift, deathSpiral, pairLift, soloSpin, stepSequence}, 5},
		{pairs, []string{"free-skating"}, []string{twistLift, deathSpiral, pairLift, pairSpin}, 4},
	} {
		for year := 2018; year <= 2025; year++ {
			for _, category := range set.categories {
				for _, segment := range set.segments {
					req := &pb.CallLevelsRequest{}
					if err := protojson.Unmarshal([]byte(`{"elements": [`+strings.Join(set.elements, ",")+`]}`), req); err != nil {
						t.Fatal(err)
					}
					req.Season, req.Category, req.Segment = fmt.Sprintf("%d-%02d", year, (year+1)%100), category, segment
					check.levels(req, set.most)
				}
			}
		}
	}
}

// levels asks for the levels of elements, each of which must have one.
func (c *warningChecker) levels(req *pb.CallLevelsRequest, most int) {
	c.t.Helper()
	what := fmt.Sprintf("%s %s %s", req.GetSeason(), req.GetCategory(), req.GetSegment())
	called, err := c.authority.CallLevels(c.t.Context(), req)
	if err != nil {
		c.t.Errorf("%s: %v", what, err)
		return
	}
	for i, e := range called.GetElements() {
		if e.GetLevel() < "3" || e.GetLevel() == "B" {
			c.t.Errorf("%s: element %d is called %s", what, i, e.GetCode())
		}
	}
	c.few(what, req, called.GetWarnings(), most)
}

const stepSequence = `{"stepSequence": {"turns": [
	{"type": "ROCKER", "clockwise": 1, "counterclockwise": 1}, {"type": "COUNTER", "clockwise": 1, "counterclockwise": 1},
	{"type": "BRACKET", "clockwise": 1, "counterclockwise": 1}, {"type": "LOOP", "clockwise": 1, "counterclockwise": 1},
	{"type": "TWIZZLE", "clockwise": 1, "counterclockwise": 1}, {"type": "CHOCTAW", "clockwise": 1}],
	"rotationsBothDirections": true, "bodyMovement": true}}`

const soloSpin = `{"spin": {"difficultEntrance": true, "feet": [
	{"positions": [{"position": "CAMEL", "variation": "CAMEL_SIDEWAYS", "revolutions": 8}, {"position": "SIT", "revolutions": 3, "features": ["DIFFICULT_CHANGE_OF_POSITION"]}]},
	{"change": "JUMP", "positions": [{"position": "SIT", "variation": "SIT_BEHIND", "revolutions": 3}, {"position": "UPRIGHT", "revolutions": 3}]}]}}`

const (
	flyingSpin = `{"spin": {"flying": "DIFFICULT", "feet": [{"positions": [
	{"position": "CAMEL", "variation": "CAMEL_UPWARD", "revolutions": 8, "features": ["CHANGE_OF_EDGE"], "edges": "BO_FI"}]}]}}`
	twistLift   = `{"twistLift": {"code": "3Tw", "features": ["SPLIT_POSITION", "CAUGHT_AT_WAIST", "DIFFICULT_TAKE_OFF"]}}`
	pairLift    = `{"pairLift": {"code": "5ALi", "features": [{"feature": "DIFFICULT_TAKE_OFF"}, {"feature": "CHANGE_OF_HOLD_OR_POSITION"}, {"feature": "WOMAN_VARIATION"}]}}`
	deathSpiral = `{"deathSpiral": {"code": "BoDs", "revolutions": 3, "lowRevolutions": 3, "difficultEntrance": true}}`
	pairSpin    = `{"pairSpin": {"backwardEdgeEntrance": true, "positions": [
	{"woman": {"position": "CAMEL", "variation": "CAMEL_UPWARD"}, "man": {"position": "SIT", "variation": "SIT_BEHIND"}, "revolutions": 3},
	{"woman": {"position": "SIT", "variation": "SIT_FORWARD"}, "man": {"position": "CAMEL"}, "revolutions": 3},
	{"woman": {"position": "UPRIGHT", "variation": "BIELLMANN"}, "man": {"position": "UPRIGHT"}, "revolutions": 3, "changeOfFoot": true},
	{"woman": {"position": "SIT"}, "man": {"position": "SIT", "variation": "SIT_FORWARD"}, "revolutions": 6}]}}`
)

// warningChecker checks what every warning must be.
type warningChecker struct {
	t         *testing.T
	authority client.Authority
	catalog   *table.Catalog
	keys      map[string]map[string]bool // of each season's rules
}

// newWarningChecker asks in process.
func newWarningChecker(t *testing.T) *warningChecker {
	t.Helper()
	authority, err := offline.New()
	if err != nil {
		t.Fatal(err)
	}
	catalog, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	return &warningChecker{t: t, authority: authority, catalog: catalog, keys: map[string]map[string]bool{}}
}

// few checks warnings and that there are not too many.
func (c *warningChecker) few(what string, req proto.Message, list []*pb.Warning, most int) {
	c.t.Helper()
	c.warnings(what, req, list)
	if len(list) > most {
		var lines []string
		for _, w := range list {
			lines = append(lines, fmt.Sprintf("%s %s %v: %s", w.GetConfidence(), w.GetRule(), w.GetFields(), w.GetMessage()))
		}
		c.t.Errorf("%s: %d warnings, not at most %d:\n%s", what, len(list), most, strings.Join(lines, "\n"))
	}
}

func (c *warningChecker) warnings(what string, req proto.Message, list []*pb.Warning) {
	c.t.Helper()
	for i, w := range list {
		if err := c.warning(req, w); err != nil {
			c.t.Errorf("%s: %v: %v", what, err, w)
		}
		if slices.ContainsFunc(list[:i], func(have *pb.Warning) bool { return have.GetRule() == w.GetRule() }) {
			c.t.Errorf("%s: a second warning of one rule: %v", what, w)
		}
	}
}

func (c *warningChecker) warning(req proto.Message, w *pb.Warning) error {
	known := []string{string(rules.Medium), string(rules.Low), string(rules.Memory), string(rules.Inferred)}
	aboutRules := slices.Contains([]string{string(rules.WarnLowConfidence), string(rules.WarnInferredValue)}, w.GetCode())
	switch {
	case aboutRules && !slices.Contains(known, w.GetConfidence()):
		return fmt.Errorf("its confidence must be one of %v", known)
	case !aboutRules && w.GetConfidence() != "":
		return errors.New("it is not about how surely a rule is known, but has a confidence")
	}
	if season := req.(interface{ GetSeason() string }).GetSeason(); !c.keysOf(season)[w.GetRule()] {
		return fmt.Errorf("season %s has no rule of its key", season)
	}
	return fieldsOf(req, w.GetFields())
}

// keysOf returns the keys of all that a season states.
func (c *warningChecker) keysOf(season string) map[string]bool {
	c.t.Helper()
	if c.keys[season] == nil {
		tables, err := c.catalog.Season(season)
		if err != nil {
			c.t.Fatal(err)
		}
		keys := map[string]bool{}
		for r := range tables.EachRule() {
			keys[r.Key] = true
		}
		c.keys[season] = keys
	}
	return c.keys[season]
}

var requestField = regexp.MustCompile(`^(elements|components|deductions)\[(\d+)\]$`)

// fieldsOf checks that fields name items of the request's lists, in their order.
func fieldsOf(req proto.Message, fields []string) error {
	last := -1
	for _, field := range fields {
		path := requestField.FindStringSubmatch(field)
		if path == nil {
			return fmt.Errorf("%s is no field of the request", field)
		}
		message := req.ProtoReflect()
		items := message.Get(message.Descriptor().Fields().ByTextName(path[1])).List().Len()
		n, err := strconv.Atoi(path[2])
		switch {
		case err != nil || n >= items:
			return fmt.Errorf("%s is no field of the request, which has %d", field, items)
		case n <= last:
			return fmt.Errorf("%s is not in the request's order", field)
		}
		last = n
	}
	return nil
}
