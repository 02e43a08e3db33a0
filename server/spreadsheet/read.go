package spreadsheet

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/rinktally/rinktally/rules"
)

// ReasonCSV equals the ErrorReason name of the public contract.
const ReasonCSV rules.Reason = "CSV_INVALID"

// Form is what a CSV file of a caller has to be.
type Form struct {
	Header   []string // the columns in their usual order
	Also     []string // further columns that may stand there
	Required []string // those of the columns that must stand there
	Most     int      // lines behind the header
	Item     string   // what a line is: "entry"
}

// Line is a line of a file.
type Line struct {
	Number  int // in the file, from 1
	columns []string
	fields  []string
}

// Has reports whether the file has a column.
func (l *Line) Has(column string) bool { return slices.Contains(l.columns, column) }

// Get returns what stands in a column, without spaces around it; "" where the file has
// no such column.
func (l *Line) Get(column string) string {
	if i := slices.Index(l.columns, column); i >= 0 {
		return strings.TrimSpace(l.fields[i])
	}
	return ""
}

// At returns the path of a column in the line.
func (l *Line) At(column string) string { return fmt.Sprintf("csv.line[%d].%s", l.Number, column) }

// LineOf returns the line that a path speaks of; 0 is the whole file.
func LineOf(path string) (line int) {
	_, _ = fmt.Sscanf(path, "csv.line[%d]", &line)
	return line
}

// Read reads a CSV file, whose fields are parted by commas or semicolons. It reports
// the faults of its form together; what stands in the fields is the caller's matter.
func (f *Form) Read(text string) ([]Line, rules.FieldErrors) {
	var faults rules.FieldErrors
	text = strings.TrimPrefix(text, "\ufeff") // some programs begin a UTF-8 file with it
	if !utf8.ValidString(text) {
		faults.Add("csv", ReasonCSV, "is not UTF-8: save the file as \"CSV UTF-8\"")
		return nil, faults
	}
	if strings.TrimSpace(text) == "" {
		faults.Add("csv", rules.ReasonFieldRequired, "is empty: give the header %s and a line for each %s", strings.Join(f.Header, ","), f.Item)
		return nil, faults
	}
	in := csv.NewReader(strings.NewReader(text))
	in.FieldsPerRecord, in.TrimLeadingSpace = -1, true
	first, _, _ := strings.Cut(text, "\n")
	if strings.Count(first, ";") > strings.Count(first, ",") {
		in.Comma = ';'
	}
	header, err := in.Read()
	if err != nil {
		faults.Add("csv.line[1]", ReasonCSV, "cannot be read: %v", errors.Unwrap(err))
		return nil, faults
	}
	columns, faults := f.columns(header)
	if len(faults) > 0 {
		return nil, faults
	}
	var lines []Line
	for {
		fields, err := in.Read()
		if errors.Is(err, io.EOF) {
			return lines, faults
		}
		if err != nil {
			var where *csv.ParseError
			line := 0
			if errors.As(err, &where) {
				line = where.Line
			}
			faults.Add(fmt.Sprintf("csv.line[%d]", line), ReasonCSV, "cannot be read: %v", errors.Unwrap(err))
			return lines, faults
		}
		number, _ := in.FieldPos(0)
		if len(lines) >= f.Most {
			faults.Add(fmt.Sprintf("csv.line[%d]", number), rules.ReasonTooManyItems, "is one %s too many; at most %d are kept", f.Item, f.Most)
			return lines, faults
		}
		if len(fields) != len(columns) {
			faults.Add(fmt.Sprintf("csv.line[%d]", number), ReasonCSV, "has %d fields; the header has %d", len(fields), len(columns))
			continue
		}
		lines = append(lines, Line{number, columns, fields})
	}
}

// columns returns the columns by their place.
func (f *Form) columns(header []string) ([]string, rules.FieldErrors) {
	var faults rules.FieldErrors
	columns, known := make([]string, len(header)), append(slices.Clone(f.Header), f.Also...)
	for i, name := range header {
		name = strings.ToLower(strings.TrimSpace(name))
		switch {
		case !slices.Contains(known, name):
			faults.Add("csv.line[1]", ReasonCSV, "has a column %s; allowed are %s", rules.Quote(name), rules.AllowList(known))
		case slices.Contains(columns[:i], name):
			faults.Add("csv.line[1]", ReasonCSV, "has the column %s twice", name)
		}
		columns[i] = name
	}
	for _, name := range f.Required {
		if !slices.Contains(columns, name) {
			faults.Add("csv.line[1]", ReasonCSV, "lacks the column %s; the header is %s", name, strings.Join(f.Header, ","))
		}
	}
	return columns, faults
}
