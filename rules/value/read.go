package value

import (
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// Reading is what a code, typed in any letters, stands for in a season.
type Reading struct {
	Element element.Element
	// Respelled says that what was typed has other letters than the code, such as
	// ccosp4v for CCoSp4V.
	Respelled bool
	// Kind is the kind that the code says or, of a club's own element, its table.
	Kind element.Kind
	// Disciplines are those whose table has a row of every part. None means that the
	// code is one of the sport and the season has no such element.
	Disciplines []rules.Discipline
}

// Read reads a code as people type it: what the season has stands as it was typed; of
// everything else the letters do not matter. A text that is no code of the sport nor
// of the season's tables is a fault.
func Read(season *rules.Season, text string) (Reading, *rules.FieldError) {
	r, err := readAs(season, text)
	if err == nil && len(r.Disciplines) > 0 {
		return r, nil
	}
	if meant := element.Meant(text); meant != "" {
		if r, err = readAs(season, meant); err == nil {
			r.Respelled = true
			return r, nil
		}
	}
	if err != nil {
		return Reading{}, fault(rules.ReasonCodeInvalid, "%v", err)
	}
	for _, p := range r.Element.Parts() {
		switch {
		case p.LikeJump():
			return Reading{}, fault(rules.ReasonCodeInvalid, "%s is no jump of the sport nor an element of season %s; a jump is %s",
				rules.Quote(p.Text), season.Params.Season, rules.Allowed(element.JumpForm))
		case p.Kind == element.Other || p.Kind == element.Pattern: // any letters may be such a name
			return Reading{}, fault(rules.ReasonElementUnknown, "%s is no element of season %s nor a code of the sport", rules.Quote(p.Text), season.Params.Season)
		}
	}
	return r, nil
}

// readAs reads a code in its own letters.
func readAs(season *rules.Season, code string) (Reading, error) {
	e, err := element.Parse(code)
	if err != nil {
		return Reading{}, err
	}
	r := Reading{Element: e, Kind: e.Kind()}
	for _, d := range rules.Disciplines {
		rows := rowsOf(season.Table(d), &e)
		if rows == nil {
			continue
		}
		if len(r.Disciplines) == 0 {
			r.Kind = kindOf(&e, func(i int) *rules.Value { return rows[min(i, len(rows)-1)] })
		}
		r.Disciplines = append(r.Disciplines, d)
	}
	return r, nil
}

// rowsOf returns a row of each part, or the one of an element that the table values as
// a whole; nil where a part has none. The table may be nil.
func rowsOf(table *rules.ValueTable, e *element.Element) []*rules.Value {
	if table == nil {
		return nil
	}
	parts := e.Parts()
	if len(parts) == 2 {
		for _, code := range []string{parts[0].Text + "+" + parts[1].Text, parts[1].Text + "+" + parts[0].Text} {
			if rows := table.Rows(code); len(rows) > 0 {
				return rows[:1]
			}
		}
	}
	var rows []*rules.Value
	for i := range parts {
		own := table.Rows(parts[i].Text)
		if len(own) == 0 {
			return nil
		}
		rows = append(rows, own[0])
	}
	return rows
}
