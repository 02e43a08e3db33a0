package table

import (
	"errors"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
)

// faultsOf loads the base table with one text replaced and a club's table over it.
func faultsOf(t *testing.T, season, values string) string {
	t.Helper()
	_, err := Load(tables(map[string]string{
		"base/season.yaml": base, "base/singles.csv": baseCSV,
		"ours/season.yaml": "season: ours\ntitle: Ours\nextends: base\nsource: our own rule\nvalues: {singles: extend}\n" + season,
		"ours/singles.csv": values,
	}))
	var faults rules.TableFaults
	if !errors.As(err, &faults) {
		t.Fatalf("want rules.TableFaults, got %v", err)
	}
	return faults.Error()
}

const ownValues = "# ours\ncode,base_value\nWJ,0.30\n"

// Two keys of the panel that contradict each other are reported at the one that the
// table states itself, with what is allowed of both.
func TestPanelFaultsNameTheKeyAtFault(t *testing.T) {
	for season, want := range map[string]string{
		"panel:\n  max_judges: 5\n  trim: 3\n":       "club/ours/season.yaml:8: panel.trim: dropping 3 marks at each end (trim) needs a panel of 7 or more, but it begins with 5 (trim_from); allowed here are trim 0 to 2 or trim_from 7 to 21",
		"panel:\n  max_judges: 5\n  trim_from: 2\n":  "club/ours/season.yaml:8: panel.trim_from: dropping 1 mark at each end (trim) needs a panel of 3 or more",
		"panel:\n  min_judges: 7\n  max_judges: 3\n": "club/ours/season.yaml:7: panel.min_judges: a panel has at least min_judges (7) and at most max_judges (3), and 7 is more than 3; lower min_judges or raise max_judges",
		"panel:\n  max_judges: 0\n":                  "club/ours/season.yaml:7: panel.max_judges: is 0; allowed is 1 to 20",
		"panel:\n  trim: 9\n":                        "club/ours/season.yaml:7: panel.trim: is 9; allowed is 0 to 4",
	} {
		if got := faultsOf(t, season, ownValues); !strings.HasPrefix(got, want) || strings.Contains(got, "\n") {
			t.Errorf("%s says\n%s\nwant only\n%s", season, got, want)
		}
	}
}

// A wrong header is one fault of the header; the rows below it are still read.
func TestHeaderFaults(t *testing.T) {
	got := faultsOf(t, "", "# ours\ncode,base\nWJ,0.30\nW?,0.30\n")
	want := `club/ours/singles.csv:2: the header "code,base" has the column "base", which is not known; allowed are: code, base_value, scope, kind, inferred, source and GOE marks from -2 to +2
club/ours/singles.csv:2: the header "code,base" lacks the column base_value
club/ours/singles.csv:4: code "W?" is not an element code; want letters and digits, such as WJ, OneSp or 3Lz<`
	if got != want {
		t.Errorf("says\n%s\nwant\n%s", got, want)
	}
}

// Files are read as spreadsheets save them; what cannot be read says how to save it.
func TestSpreadsheets(t *testing.T) {
	load := func(values string) (*Catalog, error) {
		return Load(tables(map[string]string{
			"base/season.yaml": base, "base/singles.csv": baseCSV, "ours/singles.csv": values,
			"ours/season.yaml": "season: ours\ntitle: Ours\nextends: base\nsource: our own rule\nvalues: {singles: extend}\n",
		}))
	}
	for _, values := range []string{
		"\ufeff# ours\ncode,base_value\nWJ,0.30\n",
		"\"# ours, and \"\"only\"\" ours\",,\ncode,base_value,kind\nWJ,0.30,jump\n,,\n",
		"# ours\r\n\r\ncode,base_value\r\nWJ,0.30\r\n",
	} {
		c, err := load(values)
		if err != nil {
			t.Errorf("%q: %v", values, err)
			continue
		}
		s, err := c.Season("ours")
		if err != nil {
			t.Fatal(err)
		}
		if row, _ := s.Table(rules.Singles).Find("WJ"); row == nil || row.Base != 30 || !strings.HasPrefix(row.Source, "ours") {
			t.Errorf("%q: the row is %+v", values, row)
		}
	}
	for values, want := range map[string]string{
		"\"# ours; all\";;\n\"code\";\"base_value\"\n\"WJ\";\"0,30\"\n": "club/ours/singles.csv:2: has semicolons between its fields; want commas",
		"# ours\ncode;base_value\nWJ;0,30\n":                            "club/ours/singles.csv:2: has semicolons between its fields; want commas",
		"# ours\ncode\tbase_value\nWJ\t0.30\n":                          "club/ours/singles.csv:2: has tabs between its fields; want commas",
		"# ours\ncode,base_value\nWJ,0.30\n\nWJ,0.40\n":                 "club/ours/singles.csv:5: WJ stands twice (first in line 3)",
		"# ours\ncode,base_value,source\nWJ,0.30,M\xfcller\n":           "club/ours/singles.csv:3: is not UTF-8 text; save the file as UTF-8",
	} {
		_, err := load(values)
		if err == nil || !strings.HasPrefix(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q says %v; want only %s", values, err, want)
		}
	}
	_, err := Load(tables(map[string]string{"ours/season.yaml": "season: ours\ntitle: M\xfcnze\n"}))
	if err == nil || !strings.Contains(err.Error(), "club/ours/season.yaml:2: is not UTF-8 text") {
		t.Errorf("YAML in another encoding: %v", err)
	}
}

func TestValueFaultsSayWhy(t *testing.T) {
	for values, want := range map[string]string{
		"# ours\ncode,base_value,+1,+2\nWJ,1.00,0.40,\n":                "GOE +2 of WJ: 0.20 (10% of the base value a grade, since its cell is empty) is lower than the points of a lower mark",
		"# ours\ncode,base_value\nWJ,-0.30\n":                           "base_value of WJ: -0.30 is negative; allowed are 0.00 and more",
		"# ours\ncode,base_value\nWJ,0.333\n":                           `base_value of WJ: "0.333" is not a number of points: it has more than two decimals`,
		"# ours\ncode,base_value\nWJ,\"0,30\"\n":                        `base_value of WJ: "0,30" is not a number of points: it has a comma`,
		"# ours\ncode,base_value\nWJ,0,30\n":                            "has 3 fields, the header has 2 (code,base_value); a comma stands between two fields, and decimals follow a point",
		"# ours\ncode,base_value\nWJ\n":                                 "has 1 field, the header has 2 (code,base_value)",
		"# ours\ncode,base_value\n3LZ,0.30\n":                           `"3LZ" is no element of the sport; did you mean 3Lz?`,
		"# ours\ncode,base_value\nW\"J,0.30\n":                          "has a quotation mark inside of a field, or one without its end",
		"# ours\ncode,base_value,source\nWJ,0.30,say here where from\n": "source of WJ: is still the text of the starter file",
		"# ours\ncode,base_value,+1\nWJ,0.30,x\n":                       `GOE +1 of WJ: "x" is not a number of points: 'x' is no digit`,
	} {
		if got := faultsOf(t, "", values); !strings.HasPrefix(got, "club/ours/singles.csv:3: "+want) || strings.Contains(got, "\n") {
			t.Errorf("%s says\n%s\nwant only\n%s", values, got, want)
		}
	}
	got := faultsOf(t, "deductions:\n  FALL: {each: \"0,50\", steps: null}\n", ownValues)
	if strings.Contains(got, "\n") || !strings.Contains(got, `club/ours/season.yaml:7: deductions.FALL.each: "0,50" is not a number of points: it has a comma`) {
		t.Errorf("points in YAML: %s", got)
	}
	for yaml, want := range map[string]string{
		"sheets: {cubs: {short-program: 3}}\n":      "sheets.cubs.short-program: counts sheets of a segment that is not among the categories",
		"sheets: {cubs: {free-skating: 0}}\n":       "sheets.cubs.free-skating: is 0",
		"goe: {level_one_percent: {singing: 15}}\n": "goe.level_one_percent.singing: is \"singing\"; did you mean singles? allowed are: singles, pairs, dance",
		"component_sets: {one: null}\n":             `segments.free-skating.components: is "one", but the table has no component sets (inherited from club/base/season.yaml:29)`,
		"component_sets: {two: [SKATING_SKILLS]}\ncategories: {cubs: {segments: {free-skating: {components: tow}}}}\n": `components: is "tow"; did you mean two? the component sets are: one, two`,
		"signs: {\"<\": {value: percnt}}\n":        `signs.<.value: is "percnt"; did you mean percent? allowed are: full, table, one_turn_less, percent`,
		"confidence: hihg\n":                       `club/ours/season.yaml:6: confidence: is "hihg"; did you mean high? allowed are: high, medium, low, memory, inferred`,
		"deductions: {FALLS: {each: 1.00}}\n":      `deductions.FALLS: is "FALLS"; did you mean FALL? allowed are: FALL, TIME_VIOLATION`,
		"deductions: {FALL: {each: 1.00}}\n":       "club/ours/season.yaml:6: deductions.FALL: want either each: points or steps: a list of points, as positive numbers; here are both, so write null for the one that does not hold",
		"goe: {level_one_percent: {dance: 150}}\n": "goe.level_one_percent.dance: is 150",
	} {
		if got := faultsOf(t, yaml, ownValues); !strings.Contains(got, want) {
			t.Errorf("%s says\n%s\nwant\n%s", yaml, got, want)
		}
	}
}

// How small panels count is taken over from a season that is not sure of it only
// as long as a table has no trimming rule of its own.
func TestOwnPanelIsSure(t *testing.T) {
	unsure := strings.Replace(base, "trim: 1}", "trim: 1, note: seen, small: {source: From memory, confidence: memory}}", 1)
	for panel, warns := range map[string]bool{
		"": true, "panel: {max_judges: 5}\n": true, "panel: {trim_from: 4}\n": false,
		"panel: {trim_from: 4, small: {confidence: low}}\n": true,
	} {
		c := load(t, map[string]string{
			"base/season.yaml": unsure, "base/singles.csv": baseCSV,
			"ours/season.yaml":  "season: ours\ntitle: Ours\nextends: base\nsource: our own rule\n" + panel,
			"later/season.yaml": "season: later\ntitle: Later\nextends: ours\nsource: our own rule\n",
		})
		for _, key := range []string{"ours", "later"} {
			s, err := c.Season(key)
			if err != nil {
				t.Fatal(err)
			}
			if got := s.Panel.Small.Warn != nil; got != warns {
				t.Errorf("%s with %q warns of small panels: %v, want %v", key, panel, got, warns)
			}
		}
	}
}

// A day that no calendar has never makes a table current, and a missing date is
// reported once, at the line of its partner.
func TestDates(t *testing.T) {
	const form = "want a day of the calendar as YYYY-MM-DD, such as 2025-07-01 (leave out both dates for a table that is never current)"
	for season, want := range map[string]string{
		"valid_from: 2026-02-30\nvalid_to: 2027-13-45\n": `club/ours/season.yaml:6: valid_from: is "2026-02-30"; ` + form + "\n" +
			`club/ours/season.yaml:7: valid_to: is "2027-13-45"; ` + form,
		"valid_from: 2026-07-01\n": "club/ours/season.yaml:6: valid_from: stands without valid_to; " + form,
		"valid_to: 30.06.2027\n": `club/ours/season.yaml:6: valid_to: is "30.06.2027"; ` + form + "\n" +
			"club/ours/season.yaml:6: valid_to: stands without valid_from; " + form,
		"valid_from: 2026-02-28\nvalid_to: 2027-02-29\n": `club/ours/season.yaml:7: valid_to: is "2027-02-29"; ` + form,
		"valid_from: 2027-07-01\nvalid_to: 2027-06-30\n": "club/ours/season.yaml:7: valid_to: is 2027-06-30 and lies before valid_from (2027-07-01)",
	} {
		if got := faultsOf(t, season, ownValues); got != want {
			t.Errorf("%s says\n%s\nwant\n%s", season, got, want)
		}
	}
}

// A fault never hides others: what can be read beside it is read.
func TestFaultsBehindFaults(t *testing.T) {
	ours := "season: ours\ntitle: Ours\nextends: base\nsource: our own rule\nvalues: {singles: extend}\n"
	rows := "# ours\ncode,base_value\nW?,0.30\nB\"J,0.20\nWJ,-0.30\n"
	inRows := []string{
		`club/ours/singles.csv:3: code "W?" is not an element code`,
		"club/ours/singles.csv:4: has a quotation mark inside of a field",
		"club/ours/singles.csv:5: base_value of WJ: -0.30 is negative",
	}
	for name, c := range map[string]struct {
		season, levels string
		want           []string
	}{
		"not YAML":       {season: ours + "panel: {\n", want: []string{"club/ours/season.yaml:6: is not YAML"}},
		"no mapping":     {season: "- a\n", want: []string{"club/ours/season.yaml:1: is a list; want a mapping"}},
		"extends itself": {season: strings.Replace(ours, "extends: base", "extends: ours", 1), want: []string{"club/ours/season.yaml:3: extends: ours extends itself"}},
		"a slip in extends": {
			season: strings.Replace(ours, "extends: base", "extends: bose", 1) + "panel: {trim: 9}\n",
			want: []string{
				`club/ours/season.yaml:3: extends: there is no season "bose"; did you mean base? allowed are: base`,
				"club/ours/season.yaml:6: panel.trim: is 9; allowed is 0 to 4",
			},
		},
		"extends nothing known": {
			season: strings.Replace(ours, "extends: base", "extends: something-else", 1), levels: "spinz: {}\n",
			want: []string{
				`club/ours/season.yaml:3: extends: there is no season "something-else"; allowed are: base`,
				"club/ours/levels.yaml:1: spinz: is not a known key here; did you mean spins?",
			},
		},
	} {
		files := map[string]string{
			"base/season.yaml": base, "base/singles.csv": baseCSV,
			"ours/season.yaml": c.season, "ours/singles.csv": rows, "ours/single.csv": rows, "season.yaml": ours,
		}
		if c.levels != "" {
			files["ours/levels.yaml"] = c.levels
		}
		_, err := Load(tables(files))
		if err == nil {
			t.Errorf("%s: is taken", name)
			continue
		}
		for _, want := range append(append(c.want, inRows...),
			"club/ours/single.csv: is not a file of a season table and is not read; did you mean singles.csv?",
			"club/season.yaml: lies beside the season folders and is not read",
		) {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: not told: %s\n%v", name, want, err)
			}
		}
	}
}

// A warning says in words how a rule is known, whatever the confidence.
func TestWarningsSayHowARuleIsKnown(t *testing.T) {
	for cite, want := range map[string]string{
		"memory, source: a coach":     "how the marks of a panel count: written from memory, not from a published text (source: a coach). Seen twice",
		"memory, source: From memory": "how the marks of a panel count: written from memory, not from a published text. Seen twice",
		"low, source: a coach":        "how the marks of a panel count: taken from thin or contradicting sources (source: a coach). Seen twice",
		"medium, source: a coach":     "how the marks of a panel count: taken from a secondary text, or from texts that only nearly agree (source: a coach). Seen twice",
		"inferred, source: a coach":   "how the marks of a panel count: inferred from other rules or values, not read in a published text (source: a coach). Seen twice",
		"high, source: a coach":       "",
	} {
		c := load(t, map[string]string{
			"base/singles.csv": baseCSV,
			"base/season.yaml": strings.Replace(base, "trim: 1}", "trim: 1, note: Seen twice, confidence: "+cite+"}", 1),
		})
		s, err := c.Season("base")
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if s.Panel.Warn != nil {
			got = s.Panel.Warn.Message
		}
		if got != want {
			t.Errorf("%s: %q, want %q", cite, got, want)
		}
	}
}

// What lies in a season folder and is not read is reported; an editor's copies are not.
func TestStrangeFiles(t *testing.T) {
	files := func(more ...string) string {
		tree := map[string]string{
			"base/season.yaml": base, "base/singles.csv": baseCSV,
			"ours/season.yaml": "season: ours\ntitle: Ours\nextends: base\nsource: our own rule\nvalues: {singles: extend}\n",
		}
		for _, name := range more {
			tree["ours/"+name] = ownValues
		}
		if _, err := Load(tables(tree)); err != nil {
			return err.Error()
		}
		return ""
	}
	for name, want := range map[string]string{
		"singles.csv.txt": "did you mean singles.csv?", "Singles.CSV": "did you mean singles.csv?", "singles.ods": "did you mean singles.csv?",
		"levels.yml": "did you mean levels.yaml?", "Cases/values.yaml": "golden cases lie in a folder cases", "case/values.yaml": "golden cases lie in a folder cases",
	} {
		if got := files(name); !strings.Contains(got, "club/ours/"+strings.TrimSuffix(name, "/values.yaml")+": ") || !strings.Contains(got, want) {
			t.Errorf("of %s is said %q, want %s", name, got, want)
		}
	}
	if got := files("singles.csv", "singles.csv~", "singles.csv.bak", ".singles.csv.swp", "cases/values.yaml", "readme.txt", "notes/season.yaml"); got != "" {
		t.Error(got)
	}
}

// A key that stands twice is one fault, and hides none below it.
func TestKeyTwice(t *testing.T) {
	got := faultsOf(t, "title: Again\npanel: {trim: 9}\n", ownValues)
	want := `club/ours/season.yaml:6: title: stands twice (first in line 2)
club/ours/season.yaml:7: panel.trim: is 9; allowed is 0 to 4`
	if got != want {
		t.Errorf("says\n%s\nwant\n%s", got, want)
	}
}

// What names something that the table does not have is at fault where it stands.
func TestContentNamesWhatThereIs(t *testing.T) {
	const layout = "source: ours\nmarks: {broken: COMBO}\nlayouts:\n  little:\n    title: little\n"
	for content, want := range map[string]string{
		layout + "categories: {cub: {free-skating: little}}\n":                                        `program.yaml:6: categories.cub: is "cub"; did you mean cubs? the categories of the season are: cubs`,
		layout + "categories: {cubs: {free-skating: litle}}\n":                                        `program.yaml:6: categories.cubs.free-skating: is "litle"; did you mean little? the layouts are: little`,
		layout + "    spins: {slots: {a: {title: a}, b: {title: b}}, apart: [a, c]}\n":                `program.yaml:6: layouts.little.spins.apart[1]: is "c"; did you mean a? the slots are: a, b`,
		layout + "joining: {next: [T, Lp]}\n":                                                         `program.yaml:6: joining.next[1]: is "Lp"; did you mean`,
		layout + "joining: {half_loops: [1Lo, Eu, 1Eul]}\n":                                           `program.yaml:6: joining.half_loops[2]: is "1Eul"`,
		"marks: {broken: COMBO}\nsource: ' '\nlayouts: {little: {title: x}}\n":                        "program.yaml:1: source: is missing",
		"source: ours\nx: &l {title: x}\nmarks: {<<: 5, broken: COMBO}\nlayouts: {little: {<<: 5}}\n": "program.yaml:3: is not YAML: << merges a mapping into this one",
	} {
		_, err := Load(tables(map[string]string{"base/season.yaml": base, "base/program.yaml": content}))
		if err == nil || !strings.Contains(err.Error(), "club/base/"+want) {
			t.Errorf("%s\nsays %v\nwant %s", content, err, want)
		}
	}
}

// A season that extends one with faults is refused with those.
func TestParentAtFault(t *testing.T) {
	c := Read(tables(map[string]string{
		"base/season.yaml": strings.Replace(base, "trim: 1", "trim: 9", 1),
		"ours/season.yaml": "season: ours\ntitle: Ours\nextends: base\nsource: ours\n",
		"more/season.yaml": "season: more\ntitle: More\nextends: ours\nsource: ours\n",
		"x/season.yaml":    "season: x\ntitle: X\nextends: y\nsource: ours\n",
		"y/season.yaml":    "season: y\ntitle: Y\nextends: z\nsource: ours\n",
		"z/season.yaml":    "season: z\ntitle: Z\nextends: x\nsource: ours\n",
	}))
	for key, want := range map[string]string{
		"more": "club/base/season.yaml:8: panel.trim: is 9; allowed is 0 to 4",
		"y":    "club/x/season.yaml:3: extends: y extends itself in a circle",
		"x":    "club/x/season.yaml:3: extends: y extends itself in a circle",
	} {
		if _, err := c.Season(key); err == nil || err.Error() != want && key == "more" || !strings.Contains(err.Error(), "extends itself in a circle") && key != "more" {
			t.Errorf("%s: %v, want %s", key, err, want)
		}
	}
}
