package table_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/table"
)

// club lays a club's files over the embedded tables.
func club(files map[string]string) (*rules.Season, error) {
	tree := fstest.MapFS{}
	for name, text := range files {
		tree["herons/"+name] = &fstest.MapFile{Data: []byte(text)}
	}
	return embedded.Over(table.Layer{Name: "club", FS: tree}).Season("herons")
}

const herons = "season: herons\ntitle: Herons\nextends: 2025-26\nsource: our own rule\n"

func stated(t *testing.T, s *rules.Season) map[string]rules.Rule {
	t.Helper()
	all := map[string]rules.Rule{}
	for r := range s.EachRule() {
		all[r.Key] = r
	}
	if len(all) < 1000 {
		t.Fatalf("only %d rules are listed", len(all))
	}
	return all
}

// A source belongs to the keys that its file states: what the club does not state
// keeps what the season's own file says of it.
func TestSourceHoldsForWhatTheFileStates(t *testing.T) {
	ours, err := club(map[string]string{
		"season.yaml": herons + "values: {singles: extend}\npanel: {max_judges: 5, source: our board}\ndeductions: {FALL: {each: 0.50}}\n" +
			"categories:\n  cubs:\n    title: Cubs\n    discipline: singles\n    segments:\n      free-skating: {title: Free skating, components: three, factor: 1.00}\n",
		"program.yaml": "source: our board, spring meeting\nlayouts:\n  little:\n    title: cubs' free skating\n    boxes: {jump: {title: jump elements, kind: jump, max: 3}}\ncategories: {cubs: {free-skating: little}}\n",
		"levels.yaml":  "source: our coaches\nspins:\n  per_foot: {max: 3}\n",
		"singles.csv":  "# our own values\ncode,base_value\n1F,0.60\nWJ,0.30\n",
	})
	if err != nil {
		t.Fatal(err)
	}
	parent, err := embedded.Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	before, after := stated(t, parent), stated(t, ours)
	own := map[string]string{
		"panel.max_judges": "our board", "deductions.FALL.each": "our own rule", "season": "our own rule", "title": "our own rule",
		"extends": "our own rule", "values.singles": "our own rule", "levels.spins.per_foot.max": "our coaches", "levels.pairs.spins.per_foot.max": "our coaches",
		"values.singles.1F": "our own values", "values.singles.WJ": "our own values",
	}
	seen := 0
	for key, rule := range after {
		want, stated := own[key]
		below := func(path string) bool { return key == path || strings.HasPrefix(key, path+".") }
		switch {
		case below("categories.cubs"):
			want, stated = "our own rule", true
		case below("program.layouts.little"), below("program.categories.cubs"):
			want, stated = "our board, spring meeting", true
		}
		if stated {
			seen++
			if rule.Source != want || !strings.HasPrefix(rule.File, "club/herons/") || rule.Line == 0 {
				t.Errorf("%s is stated by the club, and said to be of %q (%s:%d), want %q", key, rule.Source, rule.File, rule.Line, want)
			}
			continue
		}
		if was := before[key]; rule.Value != "" && (rule.Cite != was.Cite || rule.File != was.File) {
			t.Errorf("%s is not stated by the club, and said to be of %+v (%s), want %+v (%s)", key, rule.Cite, rule.File, was.Cite, was.File)
		}
	}
	if seen < len(own)+10 {
		t.Errorf("only %d of the club's own rules are listed", seen)
	}
}

// A mapping may vouch for what it inherits: where it states nothing else, or says so.
// What is stated more closely keeps its own.
func TestCoversWhatIsInherited(t *testing.T) {
	for ours, want := range map[string]rules.Cite{
		"panel: {source: seen at our events, confidence: medium}\n":                                 {Source: "seen at our events", Confidence: rules.Medium},
		"panel: {max_judges: 5, covers: inherited, source: seen at our events, confidence: high}\n": {Source: "seen at our events", Confidence: rules.High},
	} {
		s, err := club(map[string]string{"season.yaml": herons + ours})
		if err != nil {
			t.Fatal(err)
		}
		got := stated(t, s)
		if cite := got["panel.trim"].Cite; cite.Source != want.Source || cite.Confidence != want.Confidence {
			t.Errorf("%s: panel.trim is said to be of %+v, want %+v", ours, cite, want)
		}
		if small := got["panel.small"]; small.Source == want.Source {
			t.Errorf("%s: panel.small lost its own source", ours)
		}
	}
	if _, err := club(map[string]string{"season.yaml": herons + "panel: {covers: all}\n"}); err == nil || !strings.Contains(err.Error(), `panel.covers: is "all"; allowed is inherited`) {
		t.Errorf("another word: %v", err)
	}
}

// A file that does not say where its rules come from, or still says what the starter
// file says, is at fault; so is a club's own line, not the one that it inherits.
func TestProvenanceFaults(t *testing.T) {
	for _, tc := range []struct{ file, text, want string }{
		{"program.yaml", "categories: {senior-men: {free-skating: free-men}}\n", "club/herons/program.yaml:1: source: is missing"},
		{"levels.yaml", "spins: {per_foot: {max: 3}}\n", "club/herons/levels.yaml:1: source: is missing"},
		{"season.yaml", strings.Replace(herons, "our own rule", table.Placeholder+" which text these rules come from", 1), "club/herons/season.yaml:4: source: is still the text of the starter file"},
		{"singles.csv", "# " + table.Placeholder + " where the values come from\ncode,base_value\nWJ,0.30\n", "club/herons/singles.csv:1: still has the source of the starter file"},
		{"levels.yaml", "source: ours\nspins:\n  features:\n    INCREASE_OF_SPEED: null\n", "club/herons/levels.yaml:4: spins.mandatory.any_of["},
	} {
		files := map[string]string{"season.yaml": herons + "values: {singles: extend}\n", "singles.csv": "# ours\ncode,base_value\nWJ,0.30\n"}
		files[tc.file] = tc.text
		_, err := club(files)
		if err == nil || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s says\n%v\nwant %s", tc.text, err, tc.want)
		}
	}
}

// A season is compiled when it is first asked for, with those that it extends and no
// others: a fault elsewhere does not hinder it.
func TestSeasonsAreCompiledWhenAskedFor(t *testing.T) {
	c := embedded.Over(table.Layer{Name: "club", FS: fstest.MapFS{
		"broken/season.yaml": {Data: []byte("season: broken\n")},
		"herons/season.yaml": {Data: []byte(herons)},
	}})
	if _, err := c.Season("herons"); err != nil {
		t.Error(err)
	}
	if _, err := c.Season("broken"); err == nil || !strings.Contains(err.Error(), "club/broken/season.yaml") {
		t.Errorf("the broken season: %v", err)
	}
	if err := c.CompileAdded(); err == nil || strings.Contains(err.Error(), "herons") {
		t.Errorf("compiling what was added: %v", err)
	}
}

// Tables that an event was made with are read as an earlier version wrote them.
func TestKeptTables(t *testing.T) {
	files := fstest.MapFS{
		"base/season.yaml":  {Data: []byte("season: base\ntitle: Base\nsource: ours\nround_each_step: true\ncategories: {cubs: {title: Cubs, discipline: singles, segments: {free-skating: {title: Free skating, components: one, factor: 1.00}}}}\ncomponent_sets: {one: [SKATING_SKILLS]}\ngoe: {min: -3, max: 3}\ncomponent_marks: {min: 0.25, max: 10.00, step: 0.25}\npanel: {min_judges: 1, max_judges: 9, trim_from: 5, trim: 1}\nbase_value: {round_to: 0.01}\n")},
		"base/program.yaml": {Data: []byte("marks: {broken: COMBO}\njoining: {next: [Lp]}\ncategories: {otters: {}}\n")},
		"base/singles.csv":  {Data: []byte("# ours\ncode,base_value,source\n3LZ,1.00,say here\n")},
	}
	if _, err := table.Load(table.Layer{Name: "kept", FS: files, Kept: true}); err != nil {
		t.Errorf("as kept tables: %v", err)
	}
	_, err := table.Load(table.Layer{Name: "kept", FS: files})
	for _, want := range []string{"kept/base/season.yaml:4: round_each_step: is not a known key", "kept/base/program.yaml:1: source: is missing",
		`kept/base/program.yaml:2: joining.next[0]: is "Lp"`, `kept/base/program.yaml:3: categories.otters: is "otters"`, `kept/base/singles.csv:3: source of 3LZ: is still`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("as tables of today: %v, want %s", err, want)
		}
	}
}

// A layout that a club changes keeps what the season says of the rest of it, also of
// what it takes over from another layout.
func TestRestatedLayoutKeepsItsProvenance(t *testing.T) {
	ours, err := club(map[string]string{
		"season.yaml":  herons,
		"program.yaml": "source: our board\nlayouts: {free-basic-novice: {boxes: {jump: {max: 3, min: 3}}}}\n",
	})
	if err != nil {
		t.Fatal(err)
	}
	parent, err := embedded.Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	before, after, seen := stated(t, parent), stated(t, ours), 0
	for key, rule := range after {
		if !strings.HasPrefix(key, "program.layouts.free-basic-novice.") || strings.HasPrefix(key, "program.layouts.free-basic-novice.boxes.jump") {
			continue
		}
		seen++
		if was := before[key]; rule.Cite != was.Cite || rule.File != was.File || rule.Line != was.Line {
			t.Errorf("%s is said to be of %+v (%s:%d), want %+v (%s:%d)", key, rule.Cite, rule.File, rule.Line, was.Cite, was.File, was.Line)
		}
	}
	if seen < 20 {
		t.Errorf("only %d rules of the layout are listed", seen)
	}
}

// A null takes away what a layout takes over from another one, and what the solo
// spins of pairs share with single skating.
func TestNullTakesAwayWhatIsTakenOver(t *testing.T) {
	for _, tc := range []struct{ file, text, gone string }{
		{"program.yaml", "source: ours\nlayouts: {free-women: {repeats: null}}\n", "program.layouts.free-women.repeats"},
		{"program.yaml", "source: ours\nlayouts: {free-basic-novice: {required_jump: null}}\n", "program.layouts.free-basic-novice.required_jump"},
		{"levels.yaml", "source: ours\npairs: {spins: {per_foot: null}}\n", "levels.pairs.spins.per_foot"},
		{"levels.yaml", "source: ours\npairs: {spins: {mandatory: {any_of: [DIFFICULT_ENTRANCE]}, features: {DIFFICULT_EXIT: null}}}\n", "levels.pairs.spins.features.DIFFICULT_EXIT"},
	} {
		s, err := club(map[string]string{"season.yaml": herons, tc.file: tc.text})
		if err != nil {
			t.Errorf("%s: %v", tc.text, err)
			continue
		}
		for key := range stated(t, s) {
			if strings.HasPrefix(key+".", tc.gone+".") {
				t.Errorf("%s: %s is still there", tc.text, key)
			}
		}
	}
	c := embedded.Over(table.Layer{Name: "club", FS: fstest.MapFS{
		"herons/season.yaml":  {Data: []byte(herons)},
		"herons/program.yaml": {Data: []byte("source: ours\nlayouts: {free-women: {repeats: null}}\n")},
		"egrets/season.yaml":  {Data: []byte(strings.ReplaceAll(strings.ReplaceAll(strings.ReplaceAll(herons, "2025-26", "herons"), "season: herons", "season: egrets"), "Herons", "Egrets"))},
		"egrets/program.yaml": {Data: []byte("source: ours\nlayouts: {free-women: {repeats: null, title: free skating}}\n")},
	}})
	s, err := c.Season("egrets")
	if err != nil {
		t.Fatal(err)
	}
	if s.Content.Layouts["free-women"].Repeats != nil {
		t.Error("a null in a club's table and in the one that it extends: the repeats are there again")
	}
}

// What was read in a published text is not said to be read by a club that vouches
// for it, nor are the club's own values.
func TestClubIsNoPublishedText(t *testing.T) {
	s, err := club(map[string]string{
		"season.yaml": herons + "values: {singles: extend}\npanel: {source: our board}\ndeductions: {FALL: {covers: inherited}}\ngoe: {source: our board, confidence: high}\n",
		"singles.csv": "# our own values\ncode,base_value,inferred\nWJ,0.30,\nOneSp,0.60,base\n",
	})
	if err != nil {
		t.Fatal(err)
	}
	all := stated(t, s)
	for key, want := range map[string]rules.Cite{
		"deductions.FALL.each": {Source: "our own rule"},
		"goe.min":              {Source: "our board", Confidence: rules.High},
		"panel.small":          {Source: "From memory", Confidence: rules.Memory},
		"values.singles.WJ":    {Source: "our own values"},
		"values.singles.OneSp": {Source: "our own values", Confidence: rules.Inferred},
	} {
		got := all[key].Cite
		if got.Note = ""; got != want {
			t.Errorf("%s is said to be of %+v, want %+v", key, got, want)
		}
	}
	if got := all["panel.trim"].Cite; got.Source != "our board" || got.Confidence != "" {
		t.Errorf("panel.trim is said to be of %+v", got)
	}
	if got := all["values.singles.3F"]; got.Confidence != rules.High || !strings.HasPrefix(got.File, "2025-26/") {
		t.Errorf("3F, which the season states, is said to be of %+v", got)
	}
}

// A rule of several values is cited with the place of the value that it is known by.
func TestRuleIsCitedWhereItIsStated(t *testing.T) {
	s, err := club(map[string]string{"season.yaml": herons + "panel: {max_judges: 5}\ngoe: {missing_mark: 0, confidence: low}\n"})
	if err != nil {
		t.Fatal(err)
	}
	all := stated(t, s)
	if panel, trim := all["panel"], all["panel.trim"]; panel.Source != trim.Source || panel.File != trim.File {
		t.Errorf("panel is said to be of %q at %s:%d", panel.Source, panel.File, panel.Line)
	}
	if goe := all["goe"]; goe.Source != "our own rule" || goe.File != "club/herons/season.yaml" || goe.Line != 6 {
		t.Errorf("goe is said to be of %q at %s:%d", goe.Source, goe.File, goe.Line)
	}
}
