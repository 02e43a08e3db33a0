package event

import (
	"bytes"
	"encoding/csv"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/spreadsheet"
)

const titleColumn = "program_title"

// entryForm is a CSV file of entries. Files without titles of programs do not have their
// column.
var entryForm = spreadsheet.Form{
	Header: []string{"entry", "category", "name", "club"}, Also: []string{titleColumn}, Required: []string{"category", "name"},
	Most: maxEntries, Item: "entry",
}

// entryRow is one line of a CSV file of entries.
type entryRow struct {
	line                        int
	Entry, Category, Name, Club string
	ProgramTitle                string
	keepClub, keepProgramTitle  bool // no such column; leave what is there unchanged
}

// at returns the path of a column in the line.
func (r entryRow) at(column string) string { return (&spreadsheet.Line{Number: r.line}).At(column) }

// parseEntries reads a CSV file of entries. It reports all faults of its lines; what
// stands in the event is not its matter.
func parseEntries(text string) ([]entryRow, rules.FieldErrors) {
	lines, faults := entryForm.Read(text)
	rows := make([]entryRow, len(lines))
	for i := range lines {
		rows[i] = rowOf(&lines[i], &faults)
	}
	return rows, faults
}

func rowOf(line *spreadsheet.Line, faults *rules.FieldErrors) entryRow {
	row := entryRow{
		line: line.Number, keepClub: !line.Has("club"), keepProgramTitle: !line.Has(titleColumn),
		Entry: line.Get("entry"), Category: line.Get("category"),
	}
	before := len(*faults)
	if row.Entry != "" {
		checkEntryID(faults, line.At("entry"), row.Entry)
	}
	row.Name = printed(faults, line.At("name"), line.Get("name"))
	row.Club = printed(faults, line.At("club"), line.Get("club"))
	row.ProgramTitle = printed(faults, line.At(titleColumn), line.Get(titleColumn))
	if len(*faults) == before {
		if row.Category == "" {
			faults.Add(line.At("category"), spreadsheet.ReasonCSV, "is empty")
		}
		if row.Name == "" {
			faults.Add(line.At("name"), spreadsheet.ReasonCSV, "is empty")
		}
	}
	return row
}

// EntriesCSV returns entries as the import reads them.
func EntriesCSV(entries []*Entry) []byte {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	lines := [][]string{slices.Clone(entryForm.Header)}
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
