package rules

import (
	"regexp"
	"strings"
)

// Signs in their canonical order: the edge sign stands before the rotation sign.
var (
	edgeSigns     = []string{"", "e", "!"}
	rotationSigns = []string{"", "q", "<", "<<"}
	spinSigns     = []string{"V", "V1", "V2"}
)

var (
	plainJump  = regexp.MustCompile(`^([1-5])(T|S|Lo|F|Lz|A|Eu)((?:Th)?)$`)
	plainTwist = regexp.MustCompile(`^([1-5])((?:T|S|Lo|F|Lz|A)?Tw[B1-4])$`)
	plainSpin  = regexp.MustCompile(`^(?:F?C?(?:U|L|C|S|Co)|P(?:Co)?)Sp(?:[23]p)?[B1-4]$`)
)

// derive adds the rows that the season's sign rules make from the stated
// ones. A stated row always wins over a rule.
func (s *Season) derive(t *ValueTable) {
	for _, code := range t.Codes() {
		for _, full := range t.rows[code] {
			jump, twist := plainJump.FindStringSubmatch(code), plainTwist.FindStringSubmatch(code)
			switch {
			case full.Derived:
			case jump != nil:
				s.deriveJump(t, full, jump[1], jump[2]+jump[3])
			case twist != nil:
				s.deriveTwist(t, full, twist[1], twist[2])
			case plainSpin.MatchString(code):
				for _, sign := range spinSigns {
					s.deriveOne(t, full, sign, s.Signs[sign], nil)
				}
			}
		}
	}
}

func (s *Season) deriveJump(t *ValueTable, full *Value, turns, name string) {
	for _, edge := range edgeSigns {
		if edge != "" && name != "F" && name != "Lz" {
			continue // only these two jumps have an edge to take off from wrongly
		}
		for _, rotation := range rotationSigns {
			sign := edge + rotation
			if sign == "" {
				continue
			}
			if rule := s.Signs[sign]; rule != nil {
				if rule.Throws.Percent > 0 && strings.HasSuffix(name, "Th") {
					rule = &SignRule{Value: rule.Value, Percent: rule.Throws.Percent, Warn: rule.Throws.Warn}
				}
				s.deriveOne(t, full, sign, rule, s.oneTurnLess(t, full, turns, name, edge))
				continue
			}
			e, r := s.Signs[edge], s.Signs[rotation]
			switch {
			case edge == "" || rotation == "" || e == nil || r == nil:
			case e.Value == SignFull: // the other sign alone decides
				s.copyRow(t, full, sign, t.row(full.Code+rotation, full.Scope), e.Warn)
			case r.Value == SignFull:
				s.copyRow(t, full, sign, t.row(full.Code+edge, full.Scope), r.Warn)
			}
		}
	}
}

// deriveTwist adds the downgraded twist lift. Nothing is known of a twist lift
// that loses only a share of its value.
func (s *Season) deriveTwist(t *ValueTable, full *Value, turns, name string) {
	for _, sign := range rotationSigns[1:] {
		if rule := s.Signs[sign]; rule != nil && rule.Value == SignOneTurnLess {
			s.deriveOne(t, full, sign, rule, s.oneTurnLess(t, full, turns, name, ""))
		}
	}
}

// oneTurnLess gives the row of the same jump with one turn less, or nil when the
// table has none. It keeps an edge sign that costs value by itself: 3Fe<< is
// 2Fe (sheets of 2014-15 and 2016-17), where e changes nothing it is 2F.
func (s *Season) oneTurnLess(t *ValueTable, full *Value, turns, name, edge string) *Value {
	if turns > "1" {
		code := string(turns[0]-1) + name
		if e := s.Signs[edge]; e != nil && e.Value != SignFull {
			code += edge
		}
		return t.row(code, full.Scope)
	}
	// A single jump with one turn less is no jump: 0.00 whatever the marks.
	none := &Value{Code: full.Code, Scope: full.Scope, Source: full.Source, min: full.min}
	for mark := s.GOE.Min; mark <= s.GOE.Max; mark++ {
		if mark != 0 {
			none.setGOE(mark, 0, false)
		}
	}
	return none
}

func (s *Season) deriveOne(t *ValueTable, full *Value, sign string, rule *SignRule, lower *Value) {
	if rule == nil {
		return
	}
	switch rule.Value {
	case SignFull:
		s.copyRow(t, full, sign, full, rule.Warn)
	case SignOneTurnLess:
		s.copyRow(t, full, sign, lower, rule.Warn)
	case SignPercent:
		reduced := *full
		reduced.Base = full.Base.Percent(rule.Percent) // rounded half-up to 0.01
		if t.percent > 0 && !t.levelOne {
			for mark := s.GOE.Min; mark <= s.GOE.Max; mark++ {
				if mark != 0 {
					reduced.setGOE(mark, reduced.Base.Percent(int64(mark)*t.percent), full.BaseInferred)
				}
			}
		}
		s.copyRow(t, full, sign, &reduced, rule.Warn)
	case SignTable: // only a stated row gives a value
	}
}

// copyRow enters a row under the full row's code with the sign, unless the
// table states that row itself.
func (s *Season) copyRow(t *ValueTable, full *Value, sign string, from *Value, warn *Warning) {
	code := full.Code + sign
	if from == nil || t.row(code, full.Scope) != nil {
		return
	}
	v := *from
	v.Code, v.Scope, v.Derived = code, full.Scope, true
	if warn != nil {
		v.SignWarn = warn
	}
	t.rows[code] = append(t.rows[code], &v)
}

// row gives the row of a code with exactly this scope, or nil.
func (t *ValueTable) row(code, scope string) *Value {
	for _, v := range t.rows[code] {
		if v.Scope == scope {
			return v
		}
	}
	return nil
}
