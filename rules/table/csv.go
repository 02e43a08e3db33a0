package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/value"
)

// codeText is what a row's code may look like; the full grammar is checked
// where codes are parsed (package element).
var codeText = pattern(`^[A-Za-z0-9]+[A-Za-z0-9<!+]*$`)

// valueTable makes the season's table of a discipline from its CSV file, the one of
// the season that it extends, or both.
func (c *compiler) valueTable(d rules.Discipline) {
	s := c.season
	data, ok := c.folder.files[valuesFile(d)]
	var inherited *rules.ValueTable
	if c.parent != nil {
		inherited = c.parent.season.Table(d)
	}
	mode := s.Values[d]
	switch {
	case mode == rules.ValuesNone:
		if ok {
			c.fault(c.file(valuesFile(d)), 0, "is here, but values.%s in %s is none", d, paramsFile)
		}
		return
	case (!ok || mode == rules.ValuesExtend) && inherited != nil && !s.GOE.SameGrades(&c.parent.season.GOE, d):
		c.fault(c.file(paramsFile), 0, "the scale of GOE differs from that of season %s, so its %s values cannot be taken over: give a complete %s.csv, or values: {%s: none}", c.parent.season.Params.Season, d, d, d)
		return
	case !ok && inherited == nil:
		return
	}
	var t *rules.ValueTable
	if ok && mode != rules.ValuesExtend {
		inherited = nil // the table replaces the other one
	}
	if ok {
		t = c.parseValues(d, data(), inherited)
	} else {
		t = c.newTable(d, inherited.Source)
		t.File, t.Confidence = inherited.File, inherited.Confidence
	}
	if inherited != nil {
		extend(t, inherited)
	}
	derive(s, t)
	s.Tables[d] = t
}

func (c *compiler) newTable(d rules.Discipline, source string) *rules.ValueTable {
	t := rules.NewValueTable(d, source)
	t.Percent, t.LevelOne = c.season.GOE.Share(d)
	return t
}

// extend adds the stated rows of another table whose codes and scopes a table does
// not have.
func extend(t, parent *rules.ValueTable) {
	for _, code := range parent.Codes() {
		for _, r := range parent.Rows(code) {
			// The season's own sign rules make the derived rows again.
			if !r.Derived && t.Row(code, r.Scope) == nil {
				t.Add(r)
			}
		}
	}
}

// parseValues reads a CSV. Level 1 of an element may stand in the table that lies
// under it, which may be nil.
func (c *compiler) parseValues(d rules.Discipline, data []byte, under *rules.ValueTable) *rules.ValueTable {
	name, s := c.file(valuesFile(d)), c.season
	if s.GOE.Min < -5 || s.GOE.Min > -1 || s.GOE.Max > 5 || s.GOE.Max < 1 {
		s.GOE.Min, s.GOE.Max = -5, 5 // the scale's own fault is reported; the rows are still checked
	}
	data = bytes.TrimPrefix(data, byteOrderMark)
	t := c.newTable(d, leadingComment(data))
	t.File = name
	if c.season.Confidence == rules.High { // a club that does not say so of its own table has not read its rows in a published text
		t.Confidence = rules.High
	}
	if line := notUTF8(data); line > 0 {
		c.fault(name, line, saveAsUTF8)
		return t
	}
	switch {
	case t.Source == "":
		c.fault(name, 1, "want comment lines first (#) that name the source of the values")
	case strings.HasPrefix(t.Source, Placeholder):
		c.fault(name, 1, "still has the source of the starter file; name the published text, or say that the values are your own")
	}
	if line, mark := separated(data); line > 0 {
		c.fault(name, line, "has %s between its fields; want commas, and decimals with a point: save it as CSV with commas", mark)
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
		c.fault(name, 1, "want a header line: code,base_value and the GOE marks")
		return t
	}
	line, _ := r.FieldPos(0)
	columns := c.valueColumns(name, line, header)
	var rows []*rules.Value
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			for _, row := range rows {
				c.grade(t, under, row)
			}
			return t
		}
		var pe *csv.ParseError
		if errors.As(err, &pe) {
			c.fault(name, pe.StartLine, "has a quotation mark inside of a field, or one without its end; leave quotation marks out, or put the whole field into them and double those inside")
			continue
		}
		if err != nil {
			c.fault(name, 0, "%v", err)
			return t
		}
		line, _ := r.FieldPos(0)
		if isComment(record) || strings.Join(record, "") == "" {
			continue
		}
		if len(record) != len(header) {
			c.fault(name, line, "has %s, the header has %d (%s); a comma stands between two fields, and decimals follow a point", rules.Count(len(record), "field"), len(header), strings.Join(header, ","))
			continue
		}
		row := c.parseRow(t, name, line, columns, record)
		if row == nil {
			continue
		}
		if first := t.Row(row.Code, row.Scope); first != nil {
			where := ""
			if row.Scope != "" {
				where = " with the scope " + rules.Quote(row.Scope)
			}
			c.fault(name, line, "%s stands twice%s (first in line %d)", row.Code, where, first.Line)
			continue
		}
		rows = append(rows, row)
		t.Add(row)
	}
}

// separated returns the line of a header whose fields are parted by something else
// than commas, and by what, or 0.
func separated(data []byte) (line int, mark string) {
	number := 0
	for line := range bytes.Lines(data) {
		number++
		text := strings.TrimSpace(string(line))
		if _, is := comment(text); is || text == "" {
			continue
		}
		switch {
		case strings.Contains(text, ","):
		case strings.Contains(text, ";"):
			return number, "semicolons"
		case strings.Contains(text, "\t"):
			return number, "tabs"
		}
		break
	}
	return 0, ""
}

// comment returns what a comment line says, also one that a spreadsheet has put in
// quotes and filled up with separators.
func comment(line string) (text string, is bool) {
	if quoted, ok := strings.CutPrefix(line, `"#`); ok {
		line = "#" + strings.ReplaceAll(strings.TrimRight(quoted, `",;`), `""`, `"`)
	}
	return strings.TrimSpace(strings.TrimLeft(line, "# ")), strings.HasPrefix(line, "#")
}

// isComment reports whether a line that was read is a comment in quotes.
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
func (c *compiler) valueColumns(name string, line int, header []string) []string {
	s, columns := c.season, make([]string, len(header))
	for i, h := range header {
		h = strings.TrimSpace(h)
		switch h {
		case "code", "scope", "kind", "base_value", "inferred", "source":
		default:
			mark, err := strconv.Atoi(h)
			if err != nil || mark == 0 || mark < s.GOE.Min || mark > s.GOE.Max {
				c.fault(name, line, "the header %s has the column %s, which is not known; allowed are: code, base_value, scope, kind, inferred, source and GOE marks from %d to +%d", rules.Quote(strings.Join(header, ",")), rules.Quote(h), s.GOE.Min, s.GOE.Max)
				continue
			}
			h = strconv.Itoa(mark)
		}
		if slices.Contains(columns[:i], h) {
			c.fault(name, line, "column %s stands twice", h)
		}
		columns[i] = h
	}
	for _, need := range []string{"code", "base_value"} {
		if !slices.Contains(columns, need) {
			c.fault(name, line, "the header %s lacks the column %s", rules.Quote(strings.Join(header, ",")), need)
		}
	}
	return columns
}

func (c *compiler) parseRow(t *rules.ValueTable, name string, line int, columns, record []string) *rules.Value {
	s := c.season
	v := rules.NewValue(s.GOE.Min)
	v.Source, v.Confidence, v.File, v.Line = t.Source, t.Confidence, name, line
	before := len(c.faults)
	var inferred []string
	goe := map[int]rules.Points{}
	for i, column := range columns {
		cell := strings.TrimSpace(record[i])
		switch column {
		case "":
		case "code":
			v.Code = cell
			if !codeText().MatchString(cell) {
				c.fault(name, line, "code %s is not an element code; want letters and digits, such as WJ, OneSp or 3Lz<", rules.Quote(cell))
			}
		case "scope":
			v.Scope = cell
		case "kind":
			if v.Kind = cell; cell != "" && !slices.Contains(elementKinds, cell) {
				c.fault(name, line, "kind of %s: %s is not known; allowed are: %s", v.Code, rules.Quote(cell), strings.Join(elementKinds, ", "))
			}
		case "source":
			if cell != "" {
				v.Source = cell
			}
			if strings.HasPrefix(cell, Placeholder) && !c.folder.kept {
				c.fault(name, line, "source of %s: is still the text of the starter file; name the published text, or say that it is your own rule", v.Code)
			}
		case "inferred":
			inferred = strings.Fields(cell)
		case "base_value":
			p, err := rules.ParsePoints(cell)
			switch {
			case err != nil:
				c.fault(name, line, "base_value of %s: %v", v.Code, err)
			case p < 0:
				c.fault(name, line, "base_value of %s: %s is negative; allowed are 0.00 and more", v.Code, cell)
			}
			v.Base = p
		default:
			if cell == "" {
				continue
			}
			mark, _ := strconv.Atoi(column)
			p, err := rules.ParsePoints(cell)
			switch {
			case err != nil:
				c.fault(name, line, "GOE %+d of %s: %v", mark, v.Code, err)
			case (mark > 0) != (p >= 0) && p != 0:
				c.fault(name, line, "GOE %+d of %s: %s has the wrong sign; the points of a mark have the mark's sign", mark, v.Code, cell)
			}
			goe[mark] = p
		}
	}
	if len(c.faults) == before {
		err := value.CheckRow(v.Code, v.Kind)
		if err == nil && !c.folder.kept {
			err = value.Misspelt(v.Code)
		}
		if err != nil {
			c.fault(name, line, "%v", err)
		}
	}
	isInferred := func(what string) bool { return slices.Contains(inferred, what) || slices.Contains(inferred, "all") }
	for _, word := range inferred {
		if mark, err := strconv.Atoi(word); word != "all" && word != "base" && (err != nil || mark < s.GOE.Min || mark > s.GOE.Max) {
			c.fault(name, line, "inferred of %s: %s is not known; allowed are: all, base and GOE marks", v.Code, rules.Quote(word))
		}
	}
	if len(c.faults) > before {
		return nil
	}
	v.Rule = "values." + string(t.Discipline) + "." + v.Code
	warning := func(what string) *rules.Warning {
		return &rules.Warning{
			Code: rules.WarnInferredValue, Rule: v.Rule, Confidence: rules.Inferred,
			Message: fmt.Sprintf("%s of %s was inferred (source: %s)", what, v.Code, v.Source),
		}
	}
	if v.BaseInferred = isInferred("base"); v.BaseInferred {
		v.Warn = warning("the base value")
		v.GradeWarn = v.Warn // the points of a grade are shares of it
	}
	for mark, points := range goe {
		inferred := isInferred(fmt.Sprintf("%+d", mark))
		if inferred && v.GradeWarn == nil {
			v.GradeWarn = warning("what a grade adds to the value")
		}
		v.SetGOE(mark, points, inferred)
	}
	if v.GradeWarn != nil {
		v.Confidence = rules.Inferred
	}
	return v
}

// grade adds the points that follow from the season's percentage where a row's
// cells are empty (from 2018-19: 10% of the base value a grade, in ice dance 15% of
// that of level 1, rounded half-up to 0.01), and checks that points rise with the
// marks.
func (c *compiler) grade(t, under *rules.ValueTable, v *rules.Value) {
	percent, base, of := t.Percent, v.Base, "the base value"
	if level := len(v.Code) - 1; t.LevelOne && v.Code[level] >= '2' && v.Code[level] <= '4' {
		one := t.Row(v.Code[:level]+"1", v.Scope)
		if one == nil && under != nil {
			one = under.Row(v.Code[:level]+"1", v.Scope)
		}
		if one == nil {
			percent = 0
		} else {
			base, of = one.Base, "the base value of "+one.Code
		}
	}
	last := rules.Points(-1 << 40)
	for mark := c.season.GOE.Min; mark <= c.season.GOE.Max; mark++ {
		points, stated, _ := v.GOE(mark)
		switch {
		case stated:
		case percent > 0:
			points = base.Percent(int64(mark) * percent)
			v.SetGOE(mark, points, v.BaseInferred)
		default:
			continue
		}
		if points < last {
			own := ""
			if !stated {
				own = fmt.Sprintf(" (%d%% of %s a grade, since its cell is empty)", percent, of)
			}
			c.fault(v.File, v.Line, "GOE %+d of %s: %v%s is lower than the points of a lower mark; points must rise with the marks", mark, v.Code, points, own)
		}
		last = points
	}
}
