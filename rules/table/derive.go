package table

import (
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// Signs in their canonical order: the edge sign stands before the rotation sign.
var (
	edgeSigns     = []string{"", "e", "!"}
	rotationSigns = []string{"", "q", "<", "<<"}
	spinSigns     = []string{"V", "V1", "V2"}
)

// deriver adds the rows that a season's sign rules make from the stated ones. A
// stated row always wins over a rule.
type deriver struct {
	season *rules.Season
	table  *rules.ValueTable
}

func derive(s *rules.Season, t *rules.ValueTable) {
	d := &deriver{s, t}
	for _, code := range t.Codes() {
		e, err := element.Parse(code)
		if err != nil || len(e.Parts()) > 1 || e.Markers() != 0 {
			continue
		}
		part := &e.Parts()[0]
		for _, full := range t.Rows(code) {
			switch {
			case full.Derived || part.Signs() != "":
			case part.Turns > 0 && (part.Kind == element.Jump || part.Kind == element.Throw):
				d.jump(full, part)
			case part.Turns > 0 && part.Kind == element.Twist && part.Level != 0:
				d.twist(full, part)
			case part.Level != 0 && part.IsSpinOfSport():
				for _, sign := range spinSigns {
					d.one(full, sign, s.Signs[sign], nil)
				}
			}
		}
	}
}

func (d *deriver) jump(full *rules.Value, part *element.Part) {
	s := d.season
	for _, edge := range edgeSigns {
		if edge != "" && (part.Kind != element.Jump || !element.HasTakeOffEdge(part.Name())) {
			continue
		}
		for _, rotation := range rotationSigns {
			sign := edge + rotation
			if sign == "" {
				continue
			}
			if rule := s.Signs[sign]; rule != nil {
				if rule.Throws.Percent > 0 && part.Kind == element.Throw {
					rule = &rules.SignRule{Value: rule.Value, Percent: rule.Throws.Percent, Clause: rule.Throws.Clause}
				}
				d.one(full, sign, rule, d.oneTurnLess(full, part, edge))
				continue
			}
			e, r := s.Signs[edge], s.Signs[rotation]
			switch {
			case edge == "" || rotation == "" || e == nil || r == nil:
			case e.Value == rules.SignFull: // the other sign alone decides
				d.copyRow(full, sign, d.table.Row(full.Code+rotation, full.Scope), e.Warn)
			case r.Value == rules.SignFull:
				d.copyRow(full, sign, d.table.Row(full.Code+edge, full.Scope), r.Warn)
			}
		}
	}
}

// twist adds the downgraded twist lift. Nothing is known of a twist lift
// that loses only a share of its value.
func (d *deriver) twist(full *rules.Value, part *element.Part) {
	for _, sign := range rotationSigns[1:] {
		if rule := d.season.Signs[sign]; rule != nil && rule.Value == rules.SignOneTurnLess {
			d.one(full, sign, rule, d.oneTurnLess(full, part, ""))
		}
	}
}

// oneTurnLess returns the row of the same jump with one turn less, or nil when the
// table has none. It keeps an edge sign that costs value by itself: 3Fe<< is
// 2Fe (sheets of 2014-15 and 2016-17), where e changes nothing it is 2F.
func (d *deriver) oneTurnLess(full *rules.Value, part *element.Part, edge string) *rules.Value {
	if part.Turns > 1 {
		code := string('0'+part.Turns-1) + full.Code[1:]
		if e := d.season.Signs[edge]; e != nil && e.Value != rules.SignFull {
			code += edge
		}
		return d.table.Row(code, full.Scope)
	}
	// A single jump with one turn less is no jump: 0.00 whatever the marks.
	s := d.season
	none := rules.NewValue(s.GOE.Min)
	none.Code, none.Scope, none.Source, none.Rule = full.Code, full.Scope, full.Source, full.Rule
	for mark := s.GOE.Min; mark <= s.GOE.Max; mark++ {
		if mark != 0 {
			none.SetGOE(mark, 0, false)
		}
	}
	return none
}

func (d *deriver) one(full *rules.Value, sign string, rule *rules.SignRule, lower *rules.Value) {
	s, t := d.season, d.table
	if rule == nil {
		return
	}
	switch rule.Value {
	case rules.SignFull:
		d.copyRow(full, sign, full, rule.Warn)
	case rules.SignOneTurnLess:
		d.copyRow(full, sign, lower, rule.Warn)
	case rules.SignPercent:
		reduced := *full
		reduced.Base = full.Base.Percent(rule.Percent) // rounded half-up to 0.01
		if t.Percent > 0 && !t.LevelOne {
			for mark := s.GOE.Min; mark <= s.GOE.Max; mark++ {
				if mark != 0 {
					reduced.SetGOE(mark, reduced.Base.Percent(int64(mark)*t.Percent), full.BaseInferred)
				}
			}
		}
		d.copyRow(full, sign, &reduced, rule.Warn)
	case rules.SignTable: // only a stated row gives a value
	}
}

// copyRow enters a row under the full row's code with the sign, unless the
// table states that row itself.
func (d *deriver) copyRow(full *rules.Value, sign string, from *rules.Value, warn *rules.Warning) {
	code := full.Code + sign
	if from == nil || d.table.Row(code, full.Scope) != nil {
		return
	}
	v := *from
	v.Code, v.Scope, v.Derived = code, full.Scope, true
	if warn != nil {
		v.SignWarn = warn
	}
	d.table.Add(&v)
}
