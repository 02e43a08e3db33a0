package event

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/rinktally/rinktally/rules"
)

// reasonCSV equals the ErrorReason name of the public contract.
const reasonCSV rules.Reason = "CSV_INVALID"

// entryHeader is the first line of a CSV file of entries. titleColumn may stand in it
// too; files without titles of programs do not have it.
var entryHeader = []string{"entry", "category", "name", "club"}

const titleColumn = "program_title"

// entryRow is one line of a CSV file of entries.
type entryRow struct {
	line                        int
	Entry, Category, Name, Club string
	ProgramTitle                string
	keepClub, keepProgramTitle  bool // no such column; leave what is there unchanged
}

// at returns the path of a column in a line.
func (r entryRow) at(column string) string { return fmt.Sprintf("csv.line[%d].%s", r.line, column) }

// lineOf returns the line that a path speaks of; 0 is the whole file.
func lineOf(path string) (line int) {
	_, _ = fmt.Sscanf(path, "csv.line[%d]", &line)
	return line
}

// parseEntries reads a CSV file of entries. It reports all faults of its lines; what
// stands in the event is not its matter.
func parseEntries(text string) ([]entryRow, rules.FieldErrors) {
	var faults rules.FieldErrors
	text = strings.TrimPrefix(text, "\ufeff") // some programs begin a UTF-8 file with it
	if !utf8.ValidString(text) {
		faults.Add("csv", reasonCSV, "is not UTF-8: save the file as \"CSV UTF-8\"")
		return nil, faults
	}
	if strings.TrimSpace(text) == "" {
		faults.Add("csv", rules.ReasonFieldRequired, "is empty: give the header %s and a line for each entry", strings.Join(entryHeader, ","))
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
		faults.Add("csv.line[1]", reasonCSV, "cannot be read: %v", errors.Unwrap(err))
		return nil, faults
	}
	columns, faults := headerOf(header)
	if len(faults) > 0 {
		return nil, faults
	}
	var rows []entryRow
	for {
		fields, err := in.Read()
		if errors.Is(err, io.EOF) {
			return rows, faults
		}
		if err != nil {
			var where *csv.ParseError
			line := 0
			if errors.As(err, &where) {
				line = where.Line
			}
			faults.Add(fmt.Sprintf("csv.line[%d]", line), reasonCSV, "cannot be read: %v", errors.Unwrap(err))
			return rows, faults
		}
		line, _ := in.FieldPos(0)
		if len(rows) >= maxEntries {
			faults.Add(fmt.Sprintf("csv.line[%d]", line), rules.ReasonTooManyItems, "is one entry too many; at most %d are kept", maxEntries)
			return rows, faults
		}
		if len(fields) != len(columns) {
			faults.Add(fmt.Sprintf("csv.line[%d]", line), reasonCSV, "has %d fields; the header has %d", len(fields), len(columns))
			continue
		}
		rows = append(rows, rowOf(line, columns, fields, &faults))
	}
}

// headerOf returns the columns by their place.
func headerOf(header []string) ([]string, rules.FieldErrors) {
	var faults rules.FieldErrors
	columns, known := make([]string, len(header)), append(slices.Clone(entryHeader), titleColumn)
	for i, name := range header {
		name = strings.ToLower(strings.TrimSpace(name))
		switch {
		case !slices.Contains(known, name):
			faults.Add("csv.line[1]", reasonCSV, "has a column %s; allowed are %s", rules.Quote(name), rules.AllowList(known))
		case slices.Contains(columns[:i], name):
			faults.Add("csv.line[1]", reasonCSV, "has the column %s twice", name)
		}
		columns[i] = name
	}
	for _, name := range []string{"category", "name"} {
		if !slices.Contains(columns, name) {
			faults.Add("csv.line[1]", reasonCSV, "lacks the column %s; the header is %s", name, strings.Join(entryHeader, ","))
		}
	}
	return columns, faults
}

func rowOf(line int, columns, fields []string, faults *rules.FieldErrors) entryRow {
	row := entryRow{line: line, keepClub: !slices.Contains(columns, "club"), keepProgramTitle: !slices.Contains(columns, titleColumn)}
	before := len(*faults)
	for i, column := range columns {
		at := row.at(column)
		switch value := strings.TrimSpace(fields[i]); column {
		case "entry":
			if row.Entry = value; value != "" {
				checkEntryID(faults, at, value)
			}
		case "category":
			row.Category = value
		case "name":
			row.Name = printed(faults, at, value)
		case "club":
			row.Club = printed(faults, at, value)
		case titleColumn:
			row.ProgramTitle = printed(faults, at, value)
		}
	}
	if len(*faults) == before {
		if row.Category == "" {
			faults.Add(row.at("category"), reasonCSV, "is empty")
		}
		if row.Name == "" {
			faults.Add(row.at("name"), reasonCSV, "is empty")
		}
	}
	return row
}

// EntriesCSV returns entries as the import reads them.
func EntriesCSV(entries []*Entry) []byte {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	lines := [][]string{slices.Clone(entryHeader)}
	for _, e := range entries {
		lines = append(lines, []string{e.GetEntry(), e.GetCategory(), e.GetName(), e.GetClub()})
	}
	if slices.ContainsFunc(entries, func(e *Entry) bool { return e.GetProgramTitle() != "" }) {
		lines[0] = append(lines[0], titleColumn)
		for i, e := range entries {
			lines[i+1] = append(lines[i+1], e.GetProgramTitle())
		}
	}
	_ = w.WriteAll(lines) // a buffer takes everything
	return out.Bytes()
}
