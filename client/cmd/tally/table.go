package main

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// table is text in columns, two spaces apart. text/tabwriter aligns all columns to
// one side; here numbers stand to the right and words to the left.
type table struct {
	rows  [][]string
	right []int // columns of numbers, from 1
}

// newTable starts a table; the columns named in right, from 1, are numbers. A nil
// header is left out.
func newTable(header []any, right ...int) *table {
	t := &table{right: right}
	if header != nil {
		t.add(header...)
	}
	return t
}

// add appends a row.
func (t *table) add(cells ...any) {
	row := make([]string, len(cells))
	for i, cell := range cells {
		row[i] = fmt.Sprint(cell)
	}
	t.rows = append(t.rows, row)
}

// String returns the lines of the table, without spaces at their ends.
func (t *table) String() string {
	var widths []int
	for _, row := range t.rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	lines := make([]string, len(t.rows))
	for i, row := range t.rows {
		var line strings.Builder
		for n, cell := range row {
			gap := strings.Repeat(" ", widths[n]-utf8.RuneCountInString(cell))
			if slices.Contains(t.right, n+1) {
				line.WriteString(gap + cell + "  ")
			} else {
				line.WriteString(cell + gap + "  ")
			}
		}
		lines[i] = strings.TrimRight(line.String(), " ")
	}
	return strings.Join(lines, "\n")
}
