package value

import (
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// lookUp finds the rows of the element's parts.
func (c *Context) lookUp(v *Valued) *rules.FieldError {
	parts := v.Element.Parts()
	clear(v.parts[:len(parts)]) // the memory may be used again
	if len(parts) == 2 && v.Element.Kind() != element.Jump && v.Element.Kind() != element.Other {
		row, err := c.whole(parts)
		if err != nil {
			return err
		}
		if row != nil {
			v.parts[0] = Part{row}
			return nil
		}
	}
	for i := range parts {
		p := &parts[i]
		if p.NoValue {
			continue
		}
		row, err := c.find(p.Text)
		switch {
		case err != nil:
			return err
		case row == nil:
			return c.unknown(p)
		}
		v.parts[i] = Part{row}
	}
	return nil
}

// find returns the row of a code in the context's scope or segment, or nil; and
// a fault when the code has rows in other scopes only.
func (c *Context) find(code string) (*rules.Value, *rules.FieldError) {
	row, scopes := c.table.Find(code, c.Scope, c.segment)
	if row == nil && len(scopes) > 0 {
		return nil, fault(rules.ReasonScopeRequired, "%s has a value of its own in each of: %s; name the one that was skated (scope)", code, rules.AllowList(scopes))
	}
	return row, nil
}

// whole returns the row of an element of two parts that are no jumps, such as a
// combination lift, in whichever order the table names them. It returns none
// where the parts' own rows are to be added, as those of two parts without a level
// (and so without value) are in every season.
func (c *Context) whole(parts []element.Part) (*rules.Value, *rules.FieldError) {
	if parts[0].NoValue || parts[1].NoValue {
		return nil, nil
	}
	code := parts[0].Text + "+" + parts[1].Text
	for _, name := range []string{code, parts[1].Text + "+" + parts[0].Text} {
		if row, err := c.find(name); row != nil || err != nil {
			return row, err
		}
	}
	if c.Season.BaseValue.TwoParts == rules.TwoPartsStated && (parts[0].Level != 0 || parts[1].Level != 0) {
		return nil, fault(rules.ReasonElementUnknown, "season %s knows no base value of %s in %s; it values two parts together only where its table names both",
			c.Season.Params.Season, rules.Quote(code), c.Category.Discipline)
	}
	return nil, nil
}

// checkMarkers refuses a marker that the season does not know.
func (c *Context) checkMarkers(v *Valued) *rules.FieldError {
	if v.Element.Markers() == 0 {
		return nil
	}
	rule := &c.Season.BaseValue
	shares := [...]struct {
		marker element.Marker
		text   string
		share  *rules.Share
	}{{element.SEQ, "+SEQ", &rule.Sequence.Share}, {element.COMBO, "+COMBO", c.combo()}, {element.REP, "+REP", &rule.Repeat}}
	for _, s := range shares {
		if s.share.Percent != 0 || !v.Element.Has(s.marker) {
			continue
		}
		var known []string
		for _, s := range shares {
			if s.share.Percent != 0 {
				known = append(known, s.text)
			}
		}
		if len(known) == 0 {
			known = []string{"nothing"}
		}
		return fault(rules.ReasonSignUnknown, "season %s does not use %s (in %s); behind a jump it uses %s",
			c.Season.Params.Season, s.text, rules.Quote(v.Element.String()), rules.AllowList(known))
	}
	return nil
}

// combo is the share of a jump called +COMBO, which may be the segment's own.
func (c *Context) combo() *rules.Share {
	if c.Segment.Combo != nil {
		return c.Segment.Combo
	}
	return &c.Season.BaseValue.Combo
}

func fault(reason rules.Reason, format string, args ...any) *rules.FieldError {
	f := rules.Fault("", reason, format, args...)
	return &f
}

// Missing says why the season has no value for a part; it is nil when it has one.
func (c *Context) Missing(p *element.Part) *rules.FieldError {
	row, err := c.find(p.Text)
	if row == nil && err == nil {
		err = c.unknown(p)
	}
	return err
}

// unknown says why the season has no value for a part and what it has instead.
func (c *Context) unknown(p *element.Part) *rules.FieldError {
	season := c.Season.Params.Season
	signs := c.Season.Signs
	if p.LikeJump() {
		return fault(rules.ReasonCodeInvalid, "%s is no jump of the sport nor an element of season %s; a jump is %s", rules.Quote(p.Text), season, rules.Allowed(element.JumpForm))
	}
	for _, sign := range []string{p.EdgeSign(), p.Rotation.String(), p.Reduced.String()} {
		if sign == "" || signs[sign] != nil || signs[p.Signs()] != nil {
			continue
		}
		if len(signs) == 0 {
			return fault(rules.ReasonSignUnknown, "season %s does not use the sign %s (in %s); it uses no signs: an element is written as it was credited", season, sign, rules.Quote(p.Text))
		}
		return fault(rules.ReasonSignUnknown, "season %s does not use the sign %s (in %s); its signs are: %s", season, sign, rules.Quote(p.Text), rules.AllowList(rules.SortedKeys(signs)))
	}
	known := c.similar(p)
	if len(known) == 0 {
		return fault(rules.ReasonElementUnknown, "season %s knows no base value of %s in %s", season, rules.Quote(p.Text), c.Category.Discipline)
	}
	return fault(rules.ReasonElementUnknown, "season %s knows no base value of %s in %s; it knows: %s", season, rules.Quote(p.Text), c.Category.Discipline, rules.AllowList(known))
}

// similar lists a few codes of the table that are like a part's: the same name
// with other levels, as much of the name as any code has, the same jump with
// other turns, or at last elements of the same kind and level.
func (c *Context) similar(p *element.Part) []string {
	const most = 12
	stem := p.Bare()
	if p.Level != 0 {
		stem = stem[:len(stem)-1]
	}
	pick := func(like func(code string) bool) []string {
		var list []string
		for _, code := range c.table.Codes() {
			if like(code) && len(list) < most {
				list = append(list, code)
			}
		}
		return list
	}
	for ; len(stem) > 1; stem = stem[:len(stem)-1] {
		if list := pick(func(code string) bool { return strings.HasPrefix(code, stem) }); len(list) > 0 {
			return list
		}
	}
	name := strings.TrimLeft(p.Bare(), "0123456789")
	if list := pick(func(code string) bool { return strings.TrimLeft(code, "0123456789") == name }); len(list) > 0 {
		return list
	}
	return pick(func(code string) bool {
		other, err := element.Parse(code)
		if err != nil || len(other.Parts()) > 1 {
			return false
		}
		o := &other.Parts()[0]
		return o.Kind == p.Kind && o.Level == p.Level && o.Signs() == ""
	})
}
