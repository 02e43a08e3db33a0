// Package protocols reads published score sheets, so that tests can score them
// again and compare. The sheets themselves are not part of this module.
package protocols

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// Sheet is one skater's score sheet of one segment. Points are decimal texts as
// printed.
type Sheet struct {
	Season, Discipline, Level, Segment, Event string
	EventKind                                 string `json:"event_kind"`
	Rank                                      int
	Elements                                  []Element
	Components                                []Component
	Deductions                                []Deduction
	TotalDeductions                           string `json:"total_deductions"`
	TES, PCS, TSS                             string
	CountedJudges                             []int32 `json:"counted_judges"`
	Partial                                   string  // what the source lacks, if anything
}

// Element is an element's row of a sheet. A nil mark is none.
type Element struct {
	Code       string
	SecondHalf bool   `json:"second_half"`
	BaseValue  string `json:"base_value"`
	Marks      []*int32
	GOE, Score string
}

// Component is a component's row of a sheet.
type Component struct {
	Name, Factor, Score string
	Marks               []*string
}

// Deduction is a deduction with its points, as printed.
type Deduction struct{ Reason, Value string }

// Folder returns the folder of the sheets: what RINKTALLY_PROTOCOLS names, or one
// beside the project, whose root is given. The error says that it is missing.
func Folder(root string) (string, error) {
	dir := os.Getenv("RINKTALLY_PROTOCOLS")
	if dir == "" {
		dir = filepath.Join(root, "..", "shared", "protocols")
	}
	if _, err := os.Stat(dir); err != nil { //nolint:gosec // who runs the tests names the folder
		return "", fmt.Errorf("the published score sheets are not here; set RINKTALLY_PROTOCOLS to their folder: %w", err)
	}
	return dir, nil
}

// Read reads every sheet of a folder and of those beside it whose names continue
// its own, such as protocols-2018-26 beside protocols.
func Read(dir string) ([]Sheet, error) {
	files, err := filepath.Glob(filepath.Join(filepath.Clean(dir)+"*", "*.jsonl"))
	if err != nil {
		return nil, err
	}
	var all []Sheet
	for _, name := range files {
		if all, err = appendFile(all, name); err != nil {
			return nil, err
		}
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("%s holds no sheets", dir)
	}
	return all, nil
}

func appendFile(all []Sheet, name string) ([]Sheet, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close() //nolint:errcheck // it was only read
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for n := 1; lines.Scan(); n++ {
		var s Sheet
		if err := json.Unmarshal(lines.Bytes(), &s); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, n, err)
		}
		// A row printed without a name is no element.
		s.Elements = slices.DeleteFunc(s.Elements, func(e Element) bool { return e.Code == "" && e.BaseValue == "0.00" })
		all = append(all, s)
	}
	return all, lines.Err()
}

// String names a sheet.
func (s *Sheet) String() string {
	return fmt.Sprintf("%s %s %s %s rank %d", s.Season, s.Event, s.Discipline, s.Segment, s.Rank)
}

// Category returns the category's key.
func (s *Sheet) Category() string { return s.Level + "-" + s.Discipline }

// SegmentKey returns the segment's key. The free skating of singles and pairs and
// the free dance are printed alike.
func (s *Sheet) SegmentKey() string {
	if s.Discipline == "dance" && s.Segment == "free" {
		return "free-dance"
	}
	return map[string]string{
		"short": "short-program", "free": "free-skating", "rhythm_dance": "rhythm-dance", "short_dance": "short-dance",
		"original_dance": "original-dance", "compulsory": "compulsory-dance",
	}[s.Segment]
}

// ComponentKey returns the key of a component from its printed name.
func (s *Sheet) ComponentKey(name string) string {
	if name == "Timing" {
		if s.Segment == "compulsory" {
			return "TIMING"
		}
		return "INTERPRETATION" // of the music / timing, as ice dance prints it
	}
	for prefix, key := range map[string]string{
		"Skating": "SKATING_SKILLS", "Transition": "TRANSITIONS", "Linking": "TRANSITIONS", "Performance": "PERFORMANCE",
		"Choreography": "COMPOSITION", "Composition": "COMPOSITION", "Interpretation": "INTERPRETATION",
		"Presentation": "PRESENTATION",
	} {
		if strings.HasPrefix(name, prefix) {
			return key
		}
	}
	return name
}

// points reads printed points. The sheets are data of ours, so a text that is
// none is a fault of the file.
func points(s string) rules.Points {
	p, err := rules.ParsePoints(s)
	if err != nil {
		panic(fmt.Sprintf("score sheet: %v", err))
	}
	return p
}
