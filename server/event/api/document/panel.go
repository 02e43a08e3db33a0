package document

import (
	"crypto/sha256"
	"fmt"
	"strconv"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// writtenLines is how many lines a panel sheet has for elements: as many as fit on
// its page beside the rest.
const writtenLines = 16

// PanelSheets is what a panel writes on by hand when the desks fail: a page for each
// skater, in the order of the lines that are typed in afterwards.
type PanelSheets struct {
	Head
	Skaters []*pb.Performance // in starting order
	Judges  int               // size of the panel
}

// Content implements Document.
func (d *PanelSheets) Content() ([sha256.Size]byte, error) {
	parts := make([]proto.Message, len(d.Skaters))
	for i, s := range d.Skaters {
		parts[i] = s
	}
	return d.content(fmt.Sprintf("panel sheets of %d judges", d.Judges), parts...)
}

// CSV returns an empty line for each element, component and deduction.
func (d *PanelSheets) CSV() (*pb.File, error) {
	header := []string{"number", "entry", "name", "kind", "item", "code"}
	header = append(header, judgeHeader(d.Judges)...)
	judges := make([]string, d.Judges)
	var rows [][]string
	for _, s := range d.Skaters {
		line := func(kind, item string) {
			rows = append(rows, append([]string{itoa(s.GetNumber()), s.GetEntry(), s.GetName(), kind, item, ""}, judges...))
		}
		for i := range writtenLines {
			line("element", strconv.Itoa(i+1))
		}
		for _, c := range s.GetComponents() {
			line("component", c.GetComponent().String())
		}
		line("deduction", "")
	}
	return d.csv("panel sheets", header, rows)
}

// PDF returns a page for each skater.
func (d *PanelSheets) PDF() (*pb.File, error) {
	p := newPaper(&d.Head, "Panel sheet")
	for i, s := range d.Skaters {
		if i > 0 {
			p.newPage()
		}
		d.sheet(p, s)
	}
	if len(d.Skaters) == 0 {
		p.note("Nobody is left to skate.")
	}
	return p.file("panel sheets")
}

func (d *PanelSheets) sheet(p *paper, s *pb.Performance) {
	p.heading(fmt.Sprintf("%d   %s   %s", s.GetNumber(), s.GetName(), s.GetClub()))
	p.note("When the desks fail, each of the panel writes on a sheet of its own. They are typed in when the server is back; the sheets are kept.")
	marks := judgeColumns(d.Judges, 105, 20)
	empty := make([]string, d.Judges)
	var rows [][]string
	for i := range writtenLines {
		rows = append(rows, append([]string{strconv.Itoa(i + 1), "", ""}, empty...))
	}
	p.form(append([]column{{"", 8, right}, {"Element and calls", 60, left}, {"2nd half", 14, left}}, marks...), rows)
	rows = nil
	for _, c := range s.GetComponents() {
		rows = append(rows, append([]string{c.GetName()}, empty...))
	}
	p.form(append([]column{{"Component", 82, left}}, marks...), rows)
	p.form([]column{{"Deductions: kind and how often", 140, left}, {"Signed", 46, left}}, [][]string{{"", ""}, {"", ""}})
}
