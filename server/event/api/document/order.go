package document

import (
	"crypto/sha256"
	"fmt"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// StartingOrder is the starting order of a segment.
type StartingOrder struct {
	Head
	Segment *pb.EventSegment
}

// Content implements Document.
func (d *StartingOrder) Content() ([sha256.Size]byte, error) {
	return d.content("starting order", d.Segment)
}

// CSV returns a line for each starter, also who keeps the number and does not skate.
func (d *StartingOrder) CSV() (*pb.File, error) {
	var rows [][]string
	for _, p := range d.Segment.GetOrder() {
		rows = append(rows, []string{itoa(p.GetNumber()), itoa(p.GetGroup()), p.GetEntry(), p.GetName(), p.GetClub(), yesNo(p.GetState() != pb.PerformanceState_OUT)})
	}
	return d.csv("starting order", []string{"number", "group", "entry", "name", "club", "skates"}, rows)
}

// PDF returns a table for each warm-up group.
func (d *StartingOrder) PDF() (*pb.File, error) {
	p := newPaper(&d.Head, "Starting order")
	p.note(drawText(d.Segment.GetDraw()))
	columns := []column{{"No.", 14, right}, {"Name", 96, left}, {"Club", 70, left}}
	var rows [][]string
	group := int32(0)
	groups := d.Segment.GetDraw().GetGroupSize() > 0
	flush := func() {
		if len(rows) > 0 {
			if groups {
				p.heading(fmt.Sprintf("Warm-up group %d", group))
			}
			p.table(columns, rows)
		}
		rows = nil
	}
	for _, s := range d.Segment.GetOrder() {
		if s.GetGroup() != group {
			flush()
			group = s.GetGroup()
		}
		name := s.GetName()
		if s.GetState() == pb.PerformanceState_OUT {
			name += " (does not skate)"
		}
		rows = append(rows, []string{itoa(s.GetNumber()), name, s.GetClub()})
	}
	flush()
	return p.file("starting order")
}

// drawText says how the order was made.
func drawText(d *pb.OrderDraw) string {
	switch d.GetMethod() {
	case pb.OrderMethod_RANDOM:
		return fmt.Sprintf("Drawn from the number %d: entries sorted by the SHA-256 of \"%d/entry\".", d.GetSeed(), d.GetSeed())
	case pb.OrderMethod_REVERSE_STANDING:
		return "In reverse order of the standing after the segments before."
	case pb.OrderMethod_GIVEN:
		return "As given by the organiser or the referee."
	default:
		return ""
	}
}
