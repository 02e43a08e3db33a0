package rules

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// codeText is what a row's code may look like; the full grammar is checked
// where codes are parsed (package element).
var codeText = regexp.MustCompile(`^[A-Za-z0-9]+[A-Za-z0-9<!+]*$`)

// valueTable loads a discipline's CSV of a season, or takes the parent's.
func (l *loader) valueTable(s *Season, d Discipline, src *seasonSource, parent *Season) {
	name := path.Join(src.name, string(d)+".csv")
	data, ok := src.files[string(d)+".csv"]
	switch {
	case s.Values[d] == ValuesNone:
		if ok {
			l.fault(name, 0, "is here, but values.%s in %s is none", d, paramsFile)
		}
		return
	case (!ok || s.Values[d] == ValuesExtend) && parent != nil && parent.values[d] != nil && !s.GOE.sameGrades(&parent.GOE, d):
		l.fault(path.Join(src.name, paramsFile), 0, "the scale of GOE differs from that of season %s, so its %s values cannot be taken over: give a complete %s.csv, or values: {%s: none}", parent.Params.Season, d, d, d)
		return
	case !ok:
		if parent != nil && parent.values[d] != nil {
			t := s.newTable(d, parent.values[d].Source)
			t.extend(parent.values[d])
			s.derive(t)
			s.values[d] = t
		}
		return
	}
	var under *ValueTable // the parent's, where this one lies over it
	if s.Values[d] == ValuesExtend && parent != nil {
		under = parent.values[d]
	}
	t := l.parseValues(s, d, name, data, under)
	if under != nil {
		t.extend(under)
	}
	s.derive(t)
	s.values[d] = t
}

func (s *Season) newTable(d Discipline, source string) *ValueTable {
	t := &ValueTable{rows: map[string][]*Value{}, Source: source}
	t.percent, t.levelOne = s.GOE.share(d)
	return t
}

// extend adds the parent's stated rows of codes and scopes that the table does not have.
func (t *ValueTable) extend(parent *ValueTable) {
	for code, rows := range parent.rows {
		for _, r := range rows {
			if r.Derived {
				continue // the child's own sign rules make these anew
			}
			if !slices.ContainsFunc(t.rows[code], func(have *Value) bool { return have.Scope == r.Scope }) {
				t.rows[code] = append(t.rows[code], r)
			}
		}
	}
}

// parseValues reads a CSV. Level 1 of an element may stand in the table that lies
// under it, which may be nil.
func (l *loader) parseValues(s *Season, d Discipline, name string, data []byte, under *ValueTable) *ValueTable {
	if s.GOE.Min < -5 || s.GOE.Min > -1 || s.GOE.Max > 5 || s.GOE.Max < 1 {
		s.GOE.Min, s.GOE.Max = -5, 5 // the scale's own fault is told; the rows are still checked
	}
	data = bytes.TrimPrefix(data, byteOrderMark)
	t := s.newTable(d, leadingComment(data))
	if line := notUTF8(data); line > 0 {
		l.fault(name, line, saveAsUTF8)
		return t
	}
	if t.Source == "" {
		l.fault(name, 1, "want comment lines first (#) that name the source of the values")
	}
	if line := semicolons(data); line > 0 {
		l.fault(name, line, "has semicolons between its fields; want commas, and decimals with a point: save it as CSV with commas")
		return t
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comment = '#'
	r.FieldsPerRecord = -1
	header, err := r.Read()
	for err == nil && isComment(header) {
		header, err = r.Read()
	}
	if err != nil {
		l.fault(name, 1, "want a header line: code,base_value and the GOE marks")
		return t
	}
	line, _ := r.FieldPos(0)
	columns := l.valueColumns(s, name, line, header)
	first := map[*Value]int{} // line of each row
	var rows []*Value
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			for _, row := range rows {
				l.grade(s, t, under, row, name, first[row])
			}
			return t
		}
		var pe *csv.ParseError
		if errors.As(err, &pe) {
			l.fault(name, pe.Line, "%v", pe.Err)
			continue
		}
		if err != nil {
			l.fault(name, 0, "%v", err)
			return t
		}
		line, _ := r.FieldPos(0)
		if isComment(record) || strings.Join(record, "") == "" {
			continue
		}
		if len(record) != len(header) {
			l.fault(name, line, "has %s, the header has %d (%s); a comma stands between two fields, and decimals follow a point", Count(len(record), "field"), len(header), strings.Join(header, ","))
			continue
		}
		row := l.parseRow(s, t, name, line, columns, record)
		if row == nil {
			continue
		}
		if i := slices.IndexFunc(t.rows[row.Code], func(have *Value) bool { return have.Scope == row.Scope }); i >= 0 {
			where := ""
			if row.Scope != "" {
				where = " with the scope " + Quote(row.Scope)
			}
			l.fault(name, line, "%s stands twice%s (first in line %d)", row.Code, where, first[t.rows[row.Code][i]])
			continue
		}
		first[row] = line
		rows = append(rows, row)
		t.rows[row.Code] = append(t.rows[row.Code], row)
	}
}

// semicolons gives the line of a header whose fields are parted by semicolons, or 0.
func semicolons(data []byte) int {
	number := 0
	for line := range bytes.Lines(data) {
		number++
		text := strings.TrimSpace(string(line))
		if _, is := comment(text); is || text == "" {
			continue
		}
		if strings.Contains(text, ";") && !strings.Contains(text, ",") {
			return number
		}
		break
	}
	return 0
}

// comment gives what a comment line says, also one that a spreadsheet has put in
// quotes and filled up with separators.
func comment(line string) (text string, is bool) {
	if quoted, ok := strings.CutPrefix(line, `"#`); ok {
		line = "#" + strings.ReplaceAll(strings.TrimRight(quoted, `",;`), `""`, `"`)
	}
	return strings.TrimSpace(strings.TrimLeft(line, "# ")), strings.HasPrefix(line, "#")
}

// isComment tells whether a line that was read is a comment in quotes.
func isComment(record []string) bool { return strings.HasPrefix(record[0], "#") }

// leadingComment joins the comment lines at the top of a CSV file.
func leadingComment(data []byte) string {
	var words []string
	for line := range bytes.Lines(data) {
		text, is := comment(strings.TrimSpace(string(line)))
		if !is {
			break
		}
		words = append(words, text)
	}
	return strings.TrimSpace(strings.Join(words, " "))
}

// valueColumns maps the header's columns: "code", "scope", "kind", "base_value",
// "inferred", "source", and the GOE marks by number. A column that is not known
// is "": the header is at fault, and the rows are read without it.
func (l *loader) valueColumns(s *Season, name string, line int, header []string) []string {
	columns := make([]string, len(header))
	for i, h := range header {
		h = strings.TrimSpace(h)
		switch h {
		case "code", "scope", "kind", "base_value", "inferred", "source":
		default:
			mark, err := strconv.Atoi(h)
			if err != nil || mark == 0 || mark < s.GOE.Min || mark > s.GOE.Max {
				l.fault(name, line, "the header %s has the column %s, which is not known; allowed are: code, base_value, scope, kind, inferred, source and GOE marks from %d to +%d", Quote(strings.Join(header, ",")), Quote(h), s.GOE.Min, s.GOE.Max)
				continue
			}
			h = strconv.Itoa(mark)
		}
		if slices.Contains(columns[:i], h) {
			l.fault(name, line, "column %s stands twice", h)
		}
		columns[i] = h
	}
	for _, need := range []string{"code", "base_value"} {
		if !slices.Contains(columns, need) {
			l.fault(name, line, "the header %s lacks the column %s", Quote(strings.Join(header, ",")), need)
		}
	}
	return columns
}

func (l *loader) parseRow(s *Season, t *ValueTable, name string, line int, columns, record []string) *Value {
	v := &Value{Source: t.Source, min: s.GOE.Min}
	before := len(l.faults)
	var inferred []string
	goe := map[int]Points{}
	for i, column := range columns {
		cell := strings.TrimSpace(record[i])
		switch column {
		case "":
		case "code":
			v.Code = cell
			if !codeText.MatchString(cell) {
				l.fault(name, line, "code %s is not an element code; want letters and digits, such as WJ, OneSp or 3Lz<", Quote(cell))
			}
		case "scope":
			v.Scope = cell
		case "kind":
			if v.Kind = cell; cell != "" && !slices.Contains(ElementKinds, cell) {
				l.fault(name, line, "kind of %s: %s is not known; allowed are: %s", v.Code, Quote(cell), strings.Join(ElementKinds, ", "))
			}
		case "source":
			if cell != "" {
				v.Source = cell
			}
		case "inferred":
			inferred = strings.Fields(cell)
		case "base_value":
			p, err := ParsePoints(cell)
			switch {
			case err != nil:
				l.fault(name, line, "base_value of %s: %v", v.Code, err)
			case p < 0:
				l.fault(name, line, "base_value of %s: %s is negative; allowed are 0.00 and more", v.Code, cell)
			}
			v.Base = p
		default:
			if cell == "" {
				continue
			}
			mark, _ := strconv.Atoi(column)
			p, err := ParsePoints(cell)
			switch {
			case err != nil:
				l.fault(name, line, "GOE %+d of %s: %v", mark, v.Code, err)
			case (mark > 0) != (p >= 0) && p != 0:
				l.fault(name, line, "GOE %+d of %s: %s has the wrong sign; the points of a mark have the mark's sign", mark, v.Code, cell)
			}
			goe[mark] = p
		}
	}
	if l.check != nil && len(l.faults) == before {
		if err := l.check(v.Code, v.Kind); err != nil {
			l.fault(name, line, "%v", err)
		}
	}
	isInferred := func(what string) bool { return slices.Contains(inferred, what) || slices.Contains(inferred, "all") }
	for _, word := range inferred {
		if mark, err := strconv.Atoi(word); word != "all" && word != "base" && (err != nil || mark < s.GOE.Min || mark > s.GOE.Max) {
			l.fault(name, line, "inferred of %s: %s is not known; allowed are: all, base and GOE marks", v.Code, Quote(word))
		}
	}
	if len(l.faults) > before {
		return nil
	}
	if v.BaseInferred = isInferred("base"); v.BaseInferred {
		v.Warn = &Warning{Code: WarnInferredValue, Rule: v.Code, Message: fmt.Sprintf("the base value of %s was inferred (source: %s)", v.Code, v.Source)}
	}
	for mark, points := range goe {
		v.setGOE(mark, points, isInferred(fmt.Sprintf("%+d", mark)))
	}
	return v
}

// grade adds the points that follow from the season's percentage where a row's
// cells are empty (from 2018-19: 10% of the base value a grade, in ice dance 15% of
// that of level 1, rounded half-up to 0.01), and checks that points rise with the
// marks.
func (l *loader) grade(s *Season, t, under *ValueTable, v *Value, name string, line int) {
	percent, base, of := t.percent, v.Base, "the base value"
	if level := len(v.Code) - 1; t.levelOne && v.Code[level] >= '2' && v.Code[level] <= '4' {
		one := t.row(v.Code[:level]+"1", v.Scope)
		if one == nil && under != nil {
			one = under.row(v.Code[:level]+"1", v.Scope)
		}
		if one == nil {
			percent = 0
		} else {
			base, of = one.Base, "the base value of "+one.Code
		}
	}
	last := Points(-1 << 40)
	for mark := s.GOE.Min; mark <= s.GOE.Max; mark++ {
		points, stated, _ := v.GOE(mark)
		own := ""
		switch {
		case stated:
		case percent > 0:
			points = base.Percent(int64(mark) * percent)
			v.setGOE(mark, points, v.BaseInferred)
			own = fmt.Sprintf(" (%d%% of %s a grade, since its cell is empty)", percent, of)
		default:
			continue
		}
		if points < last {
			l.fault(name, line, "GOE %+d of %s: %v%s is lower than the points of a lower mark; points must rise with the marks", mark, v.Code, points, own)
		}
		last = points
	}
}
