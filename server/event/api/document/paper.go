package document

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Measures of a page, in millimetres; type sizes in points.
const (
	margin     = 12.0
	foot       = 16.0
	rowHeight  = 5.6
	lineHeight = 4.4
	sizeTitle  = 16
	sizeText   = 9.5
	sizeSmall  = 7.5
	grey       = 110
	pale       = 242
)

// font is embedded: it knows Latin, Greek and Cyrillic, and nothing has to be
// installed.
const font = "go"

// align says where a column's text stands.
type align string

const (
	left  align = "L"
	right align = "R"
)

// column is a column of a table.
type column struct {
	title string
	width float64
	align align
}

// paper is a PDF that is being written.
type paper struct {
	*fpdf.Fpdf

	head *Head
}

// newPaper begins a paper. Every page has the event above and, of a result, above
// and below whether it holds.
func newPaper(h *Head, title string) *paper {
	p := &paper{Fpdf: fpdf.New("P", "mm", "A4", ""), head: h}
	p.AddUTF8FontFromBytes(font, "", goregular.TTF)
	p.AddUTF8FontFromBytes(font, "B", gobold.TTF)
	p.SetMargins(margin, margin, margin)
	p.SetAutoPageBreak(true, foot)
	p.SetTitle(h.Event.GetName()+": "+title, true)
	p.SetCreationDate(h.Time)
	p.SetModificationDate(h.Time)
	p.SetCatalogSort(true) // equal content makes equal bytes
	p.AliasNbPages("")
	p.SetHeaderFunc(func() { p.top(title) })
	p.SetFooterFunc(p.bottom)
	p.newPage()
	return p
}

func (p *paper) newPage() { p.AddPage() }

func (p *paper) top(title string) {
	e := p.head.Event
	p.SetFont(font, "B", sizeTitle)
	p.MultiCell(0, 8, shown(e.GetName()), "", "L", false)
	p.SetFont(font, "", sizeText)
	days := e.GetStartDate()
	if e.GetEndDate() != days {
		days += " to " + e.GetEndDate()
	}
	where := days
	if e.GetPlace() != "" {
		where = e.GetPlace() + ", " + days
	}
	p.MultiCell(0, 5, shown(where), "", "L", false)
	what := p.head.Category
	if p.head.Segment != "" {
		what += ", " + p.head.Segment
	}
	p.SetFont(font, "B", sizeText+2)
	p.MultiCell(0, 7, shown(title+": "+what), "", "L", false)
	p.SetFont(font, "B", sizeText)
	if word, why := p.head.status(); word != "" {
		p.CellFormat(0, 6, word+": "+why, "TB", 1, "L", false, 0, "")
	}
	p.Ln(3)
}

func (p *paper) bottom() {
	p.SetY(-foot + 4)
	p.SetFont(font, "", sizeSmall)
	p.SetTextColor(grey, grey, grey)
	rules := p.head.Event.GetRules()
	revision := rules.GetRevision()
	const shown = 19 // "sha256:" and twelve digits
	if len(revision) > shown {
		revision = revision[:shown]
	}
	text := fmt.Sprintf("Rules of %s (%s).  As of %s.", rules.GetSeason(), revision, p.head.Time.UTC().Format("2006-01-02 15:04 UTC"))
	if word, why := p.head.status(); word != "" {
		text = word + ": " + why + ".  " + text
	}
	p.CellFormat(0, 4, text, "", 0, "L", false, 0, "")
	p.CellFormat(0, 4, fmt.Sprintf("%d / {nb}", p.PageNo()), "", 0, "R", false, 0, "")
	p.SetTextColor(0, 0, 0)
}

// inner is the width between the margins.
func (p *paper) inner() float64 {
	width, _ := p.GetPageSize()
	return width - 2*margin
}

func (p *paper) heading(text string) {
	p.SetFont(font, "B", sizeText+1)
	p.MultiCell(0, 7, shown(text), "", "L", false)
}

func (p *paper) note(text string) {
	if text == "" {
		return
	}
	p.SetFont(font, "", sizeSmall)
	p.SetTextColor(grey, grey, grey)
	p.MultiCell(0, lineHeight, shown(text), "", "L", false)
	p.SetTextColor(0, 0, 0)
	p.Ln(1)
}

// corrected says whose scores were changed after they were confirmed, by names
// that are not cut.
func (p *paper) corrected(names []string) {
	if len(names) > 0 {
		p.note("Corrected after the score was confirmed: " + strings.Join(names, ", ") + ". The score sheet says what and why.")
	}
}

// table writes a table over the whole width; the columns' own widths are their
// shares of it. Titles come again on a new page, a text that is wider than its column
// goes on in a line below, and every second row is shaded.
func (p *paper) table(shares []column, rows [][]string) {
	p.rows(shares, rows, rowHeight, func(i int) (string, bool) { return "", i%2 == 1 })
}

// form is a table to write into: its cells are high and have a frame.
func (p *paper) form(shares []column, rows [][]string) {
	const written = 8.0
	p.rows(shares, rows, written, func(int) (string, bool) { return "1", false })
}

// rows writes a table whose rows are at least so high. look returns a row's frame, as
// the library names it, and whether it is shaded.
func (p *paper) rows(shares []column, rows [][]string, least float64, look func(row int) (frame string, shaded bool)) {
	columns, titles := slices.Clone(shares), make([]string, len(shares))
	sum := 0.0
	for _, c := range columns {
		sum += c.width
	}
	for i := range columns {
		columns[i].width *= p.inner() / sum
		titles[i] = columns[i].title
	}
	head := func() {
		p.SetFont(font, "B", sizeSmall+0.5)
		lines, height := p.wrapped(columns, titles)
		p.row(columns, lines, height, height, "B", false)
		p.SetFont(font, "", sizeText)
	}
	head()
	p.SetFillColor(pale, pale, pale)
	_, page := p.GetPageSize()
	for i, row := range rows {
		lines, text := p.wrapped(columns, row)
		height := max(least, text)
		if p.GetY()+height > page-foot {
			p.newPage()
			head()
		}
		frame, shaded := look(i)
		p.row(columns, lines, text, height, frame, shaded)
	}
	p.Ln(3)
}

// wrapped parts the texts of a row into lines that fit their columns, and returns them
// with their height.
func (p *paper) wrapped(columns []column, texts []string) (lines [][]string, height float64) {
	most := 1
	for i, c := range columns {
		own := p.SplitText(shown(texts[i]), c.width)
		most = max(most, len(own))
		lines = append(lines, own)
	}
	return lines, rowHeight + float64(most-1)*lineHeight
}

// row writes lines of a height into the middle of a row.
func (p *paper) row(columns []column, lines [][]string, text, height float64, frame string, shaded bool) {
	x, y := p.GetXY()
	for i, c := range columns {
		p.SetXY(x, y)
		p.CellFormat(c.width, height, "", frame, 0, "", shaded, 0, "")
		for j, line := range lines[i] {
			p.SetXY(x, y+(height-text)/2+float64(j)*lineHeight)
			p.CellFormat(c.width, rowHeight, line, "", 0, string(c.align), false, 0, "")
		}
		x += c.width
	}
	p.SetXY(margin, y+height)
}

// glyphs is the font, to ask what it can show.
var glyphs = sync.OnceValues(func() (*sfnt.Font, error) { return sfnt.Parse(goregular.TTF) })

// shown returns a text as the font shows it: letters in one piece with their
// accents, and a mark for what the font does not have, such as a small picture.
func shown(text string) string {
	known, err := glyphs()
	return strings.Map(func(r rune) rune {
		if err == nil {
			if glyph, err := known.GlyphIndex(nil, r); err == nil && glyph > 0 {
				return r
			}
		}
		return unicode.ReplacementChar
	}, norm.NFC.String(text))
}

func (p *paper) file(what string) (*pb.File, error) {
	var out bytes.Buffer
	if err := p.Output(&out); err != nil {
		return nil, fmt.Errorf("pdf: %w", err)
	}
	return p.head.file(what, "pdf", "application/pdf", out.Bytes()), nil
}
