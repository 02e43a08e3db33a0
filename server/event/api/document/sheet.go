package document

import (
	"crypto/sha256"
	"fmt"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// ScoreSheets is the detailed sheets of a segment's skaters.
type ScoreSheets struct {
	Head
	Standing *pb.SegmentStanding
	Sheets   []*pb.Performance
	Judges   int // size of the panel
}

// Content implements Document.
func (d *ScoreSheets) Content() ([sha256.Size]byte, error) {
	parts := []proto.Message{d.Standing}
	for _, sheet := range d.Sheets {
		parts = append(parts, sheet)
	}
	return d.content(fmt.Sprintf("score sheets of %d judges", d.Judges), parts...)
}

// CSV returns a line for each element, component and deduction.
func (d *ScoreSheets) CSV() (*pb.File, error) {
	header := []string{"entry", "name", "kind", "item", "second_half", "base_value", "goe", "factor", "panel_score", "score"}
	header = append(header, judgeHeader(d.Judges)...)
	var rows [][]string
	for _, s := range d.Sheets {
		line := func(kind, item, half, base, goe, factor, panel, score string, marks []string) {
			rows = append(rows, append([]string{s.GetEntry(), s.GetName(), kind, item, half, base, goe, factor, panel, score}, marks...))
		}
		none := make([]string, d.Judges)
		for _, e := range s.GetElements() {
			half := ""
			if e.GetSecondHalf() {
				half = "x"
			}
			line("element", e.GetCode(), half, e.GetBaseValue(), e.GetGoe(), "", "", e.GetScore(), d.elementMarks(e))
		}
		for _, c := range s.GetComponents() {
			line("component", c.GetComponent().String(), "", "", "", c.GetFactor(), c.GetPanelScore(), c.GetScore(), d.componentMarks(c))
		}
		for _, x := range s.GetDeductions() {
			line("deduction", x.GetKind().String(), "", "", "", "", "", x.GetValue(), none)
		}
		corrected := ""
		if len(s.GetCorrections()) > 0 {
			corrected = "corrected"
		}
		line("total", corrected, "", "", "", "", "", s.GetSegmentScore(), none)
	}
	return d.csv("score sheets", header, rows)
}

func (d *ScoreSheets) elementMarks(e *pb.PerformedElement) []string {
	marks := make([]string, d.Judges)
	for _, m := range e.GetMarks() {
		if j := int(m.GetJudge()); j >= 1 && j <= d.Judges {
			marks[j-1] = itoa(m.GetMark())
		}
	}
	return marks
}

func (d *ScoreSheets) componentMarks(c *pb.PerformedComponent) []string {
	marks := make([]string, d.Judges)
	for _, m := range c.GetMarks() {
		if j := int(m.GetJudge()); j >= 1 && j <= d.Judges {
			const digits = 2
			marks[j-1] = strconv.FormatFloat(m.GetMark(), 'f', digits, 64)
		}
	}
	return marks
}

// PDF returns a page for each skater.
func (d *ScoreSheets) PDF() (*pb.File, error) {
	p := newPaper(&d.Head, "Score sheet")
	for i, s := range d.Sheets {
		if i > 0 {
			p.newPage()
		}
		d.sheet(p, s)
	}
	if len(d.Sheets) == 0 {
		p.note("No score is confirmed yet.")
	}
	return p.file("score sheets")
}

func (d *ScoreSheets) sheet(p *paper, s *pb.Performance) {
	at := "-"
	for _, standing := range d.Standing.GetPlaces() {
		if standing.GetEntry() == s.GetEntry() {
			at = place(standing.GetPlace(), standing.GetStatus())
		}
	}
	p.heading(fmt.Sprintf("%s   %s", s.GetName(), s.GetClub()))
	p.table([]column{
		{"Place", 20, right}, {"Starting number", 32, right}, {"Score", 26, right},
		{"Elements", 26, right}, {"Components", 26, right}, {"Deductions", 26, right},
	}, [][]string{{at, itoa(s.GetNumber()), s.GetSegmentScore(), s.GetElementScore(), s.GetComponentScore(), s.GetTotalDeductions()}})

	judges := judgeColumns(d.Judges, 93, 12)
	elements := append([]column{{"", 7, right}, {"Element", 38, left}, {"", 5, left}, {"Base value", 18, right}, {"GOE", 13, right}}, judges...)
	elements = append(elements, column{"Score", 16, right})
	var rows [][]string
	for i, e := range s.GetElements() {
		half := ""
		if e.GetSecondHalf() {
			half = "2"
		}
		row := []string{strconv.Itoa(i + 1), e.GetCode(), half, e.GetBaseValue(), e.GetGoe()}
		rows = append(rows, append(append(row, d.elementMarks(e)...), e.GetScore()))
	}
	p.table(elements, rows)

	components := append([]column{{"Component", 50, left}, {"Factor", 18, right}, {"", 13, right}}, judges...)
	components = append(components, column{"Panel", 16, right})
	rows = nil
	for _, c := range s.GetComponents() {
		rows = append(rows, append(append([]string{c.GetName(), c.GetFactor(), ""}, d.componentMarks(c)...), c.GetPanelScore()))
	}
	p.table(components, rows)

	if len(s.GetDeductions()) > 0 {
		rows = nil
		for _, x := range s.GetDeductions() {
			what := strings.ToLower(strings.ReplaceAll(x.GetKind().String(), "_", " "))
			if x.GetNote() != "" {
				what += ": " + x.GetNote()
			}
			rows = append(rows, []string{what, itoa(x.GetCount()), x.GetValue()})
		}
		p.table([]column{{"Deduction", 100, left}, {"Times", 18, right}, {"Points", 20, right}}, rows)
	}
	p.note("A 2 behind an element: executed in the second half.")
	for _, c := range s.GetCorrections() {
		p.note(fmt.Sprintf("Corrected %s by the %s, from %s to %s: %s", c.GetTime().AsTime().Format("2006-01-02 15:04 UTC"),
			strings.ToLower(c.GetBy()), c.GetScoreBefore(), c.GetScoreAfter(), c.GetReason()))
	}
}

// judgeHeader names the columns of the judges' marks in CSV.
func judgeHeader(judges int) []string {
	names := make([]string, judges)
	for i := range names {
		names[i] = "judge_" + strconv.Itoa(i+1)
	}
	return names
}

// judgeColumns shares the room for the marks among the judges, each of whom has at
// most so much.
func judgeColumns(judges int, room, most float64) []column {
	columns := make([]column, judges)
	for i := range columns {
		columns[i] = column{"J" + strconv.Itoa(i+1), min(most, room/float64(judges)), right}
	}
	return columns
}
