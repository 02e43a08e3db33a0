package document

import (
	"crypto/sha256"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// SegmentResult is the places of a segment.
type SegmentResult struct {
	Head
	Standing *pb.SegmentStanding
}

// Content implements Document.
func (d *SegmentResult) Content() ([sha256.Size]byte, error) { return d.content("result", d.Standing) }

// CSV returns a line for each entry.
func (d *SegmentResult) CSV() (*pb.File, error) {
	var rows [][]string
	for _, p := range d.Standing.GetPlaces() {
		rows = append(rows, []string{
			place(p.GetPlace(), p.GetStatus()), p.GetEntry(), p.GetName(), p.GetClub(), itoa(p.GetNumber()),
			p.GetSegmentScore(), p.GetElementScore(), p.GetComponentScore(), p.GetTotalDeductions(), p.GetTieBrokenBy(), yesNo(p.GetCorrected()),
		})
	}
	return d.csv("result", []string{
		"place", "entry", "name", "club", "number", "segment_score", "element_score", "component_score", "deductions", "tie_broken_by", "corrected",
	}, rows)
}

// PDF returns the table of places.
func (d *SegmentResult) PDF() (*pb.File, error) {
	p := newPaper(&d.Head, "Result")
	var rows [][]string
	for _, s := range d.Standing.GetPlaces() {
		rows = append(rows, []string{
			place(s.GetPlace(), s.GetStatus()), marked(s.GetName(), s.GetCorrected()), s.GetClub(), s.GetSegmentScore(),
			s.GetElementScore(), s.GetComponentScore(), s.GetTotalDeductions(),
		})
	}
	p.table([]column{
		{"Place", 14, right}, {"Name", 60, left}, {"Club", 38, left}, {"Score", 18, right},
		{"Elements", 18, right}, {"Components", 20, right}, {"Ded.", 12, right},
	}, rows)
	p.corrected(corrected(d.Standing.GetPlaces()))
	return p.file("result")
}

// FinalResult is the result over a category's segments.
type FinalResult struct {
	Head
	Standing *pb.FinalStanding
}

// Content implements Document.
func (d *FinalResult) Content() ([sha256.Size]byte, error) {
	return d.content("final result", d.Standing)
}

// rows returns the columns of the segments behind those of the total.
func (d *FinalResult) rows(short bool) [][]string {
	var rows [][]string
	for _, p := range d.Standing.GetPlaces() {
		row := []string{place(p.GetPlace(), p.GetStatus())}
		if !short {
			row = append(row, p.GetEntry())
		}
		name := p.GetName()
		if short {
			name = marked(name, p.GetCorrected())
		}
		row = append(row, name, p.GetClub(), p.GetTotalScore())
		for _, segment := range d.Segments {
			var at, score string
			for _, s := range p.GetSegments() {
				if s.GetSegment() == segment.Key {
					at, score = place(s.GetPlace(), p.GetStatus()), s.GetSegmentScore()
				}
			}
			row = append(row, at, score)
		}
		if !short {
			row = append(row, p.GetTieBrokenBy(), yesNo(p.GetCorrected()))
		}
		rows = append(rows, row)
	}
	return rows
}

// CSV returns a line for each entry.
func (d *FinalResult) CSV() (*pb.File, error) {
	header := []string{"place", "entry", "name", "club", "total_score"}
	for _, segment := range d.Segments {
		header = append(header, segment.Key+"_place", segment.Key+"_score")
	}
	return d.csv("final result", append(header, "tie_broken_by", "corrected"), d.rows(false))
}

// PDF returns the table of places.
func (d *FinalResult) PDF() (*pb.File, error) {
	p := newPaper(&d.Head, "Final result")
	const forSegments, most, forPlace = 84.0, 36.0, 9.0
	width := min(most, forSegments/float64(max(1, len(d.Segments))))
	columns := []column{{"Place", 14, right}, {"Name", 50, left}, {"Club", 32, left}, {"Total", 18, right}}
	for _, segment := range d.Segments {
		columns = append(columns, column{"", forPlace, right}, column{segment.Title, width - forPlace, right})
	}
	p.table(columns, d.rows(true))
	p.corrected(corrected(d.Standing.GetPlaces()))
	return p.file("final result")
}

// marked puts behind a name in a table that the score was corrected.
func marked(name string, corrected bool) string {
	if corrected {
		return name + " (corrected)"
	}
	return name
}

// corrected returns the names of those whose score was corrected.
func corrected[P interface {
	GetName() string
	GetCorrected() bool
}](places []P) []string {
	var names []string
	for _, p := range places {
		if p.GetCorrected() {
			names = append(names, p.GetName())
		}
	}
	return names
}
