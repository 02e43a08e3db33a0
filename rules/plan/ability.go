package plan

import (
	"fmt"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/program"
)

// tolerance is how far the chances of an ability may be from 1 together.
const tolerance Chance = 1000

// reader reads the abilities of a request.
type reader struct {
	*planner
	codes  map[string]*code
	seen   map[string]int // canonical code: index of its ability
	faults rules.FieldErrors
}

// code is a code of an ability or a miss, read once.
type code struct {
	entry *program.Entry
	index int // among all codes
}

func (r *reader) fault(field string, reason rules.Reason, format string, args ...any) {
	r.faults.Add(field, reason, format, args...)
}

// read reads a code, or adds why it cannot be read at a field.
func (r *reader) read(text, field string) *code {
	if text == "" {
		r.fault(field, rules.ReasonFieldRequired, "is empty: give an element's code, such as 3Lz or CCoSp4")
		return nil
	}
	if c := r.codes[text]; c != nil {
		return c
	}
	entry, faults := r.content.Entry(text)
	for _, f := range faults {
		f.Field = field
		r.faults = append(r.faults, f)
	}
	if len(faults) > 0 {
		return nil
	}
	c := &code{entry, len(r.codes)}
	r.codes[text] = c
	return c
}

// abilities reads the abilities into the planner's options.
func (r *reader) abilities() {
	all := r.req.Abilities
	switch {
	case len(all) == 0:
		r.fault("abilities", rules.ReasonFieldRequired, "is empty: give what the skater can do, each with its code, success and grade")
		return
	case len(all) > MaxAbilities:
		r.fault("abilities", rules.ReasonTooManyItems, "has %d abilities; %s are taken", len(all), rules.Allow("at most %d", MaxAbilities))
		return
	}
	for i := range all {
		r.ability(i)
	}
}

func (r *reader) ability(i int) {
	a := &r.req.Abilities[i]
	at := fmt.Sprintf("abilities[%d]", i)
	meant := r.read(a.Code, at+".code")
	if a.Success < 0 || a.Success > One {
		r.fault(at+".success", rules.ReasonFieldInvalid, "is %v; allowed is %s", a.Success, rules.Allowed("0 to 1"))
	}
	if a.Attempts < 0 {
		r.fault(at+".attempts", rules.ReasonFieldInvalid, "is %d; allowed is %s", a.Attempts, rules.Allowed("0 (not known) or more"))
	}
	if a.AtMost != nil && *a.AtMost < 0 {
		r.fault(at+".atMost", rules.ReasonFieldInvalid, "is %d; allowed is %s", *a.AtMost, rules.Allowed("0 or more"))
	}
	r.grade(at+".grade", a.Grade)
	if meant == nil {
		return
	}
	e, err := element.Parse(a.Code)
	if err != nil {
		return // was read before
	}
	if e.Called() {
		r.fault(at+".code", rules.ReasonFieldInvalid, "%s has a call of the panel; an ability is an element as it is meant, calls stand in misses", a.Code)
	}
	canonical := e.String()
	if first, twice := r.seen[canonical]; twice {
		r.fault(at+".code", rules.ReasonFieldInvalid, "%s stands at abilities[%d] already; each element stands once, atMost says how often it may be skated", a.Code, first)
	} else {
		r.seen[canonical] = i
	}
	o := &option{ability: i, code: canonical, outcomes: []*outcome{{code: meant, grade: a.Grade}}}
	r.options = append(r.options, o)
	misses := a.Misses
	if a.Success < 0 || a.Success > One {
		return // what it leaves to the misses cannot be known
	}
	if len(misses) == 0 {
		assumed, known := r.assume(i, meant)
		if !known {
			return
		}
		misses = assumed
	}
	r.misses(i, o, misses)
}

func (r *reader) grade(field string, g rules.Points) {
	if fault := r.content.GradeFault(field, g); fault != nil {
		r.faults = append(r.faults, *fault)
	}
}

// assume returns what an ability without misses does when it does not come: a jump or a
// throw alone falls and keeps its code, of a combination the first jump falls, an
// element with a level comes one level lower. It returns false where nothing is.
func (r *reader) assume(i int, meant *code) ([]Miss, bool) {
	a := &r.req.Abilities[i]
	entry := meant.entry
	left := One - a.Success
	lowest := rules.Points(r.content.Season.GOE.Min) * rules.Point
	miss := Miss{Chance: left, Grade: lowest, Fall: true, Code: entry.Code()}
	certain := left <= 0
	switch {
	case entry.Jump():
		miss.Code = entry.Parts()[0].Text
	case entry.Kind() == element.Throw:
	case certain:
		return nil, true
	default:
		miss = Miss{Chance: left, Grade: a.Grade, Code: entry.Lower()}
		if miss.Code != "" {
			if _, faults := r.content.Entry(miss.Code); len(faults) > 0 {
				miss.Code = ""
			}
		}
		if miss.Code == "" {
			r.fault(fmt.Sprintf("abilities[%d].misses", i), rules.ReasonFieldRequired, "is empty: %s has no level below it, so say what comes when it does not come so, or give the success 1", a.Code)
			return nil, false
		}
	}
	if !certain || r.tires() {
		r.out.Assumed = append(r.out.Assumed, Assumed{i, []Miss{miss}})
	}
	return []Miss{miss}, true
}

// misses reads what comes instead of an ability.
func (r *reader) misses(i int, o *option, misses []Miss) {
	a := &r.req.Abilities[i]
	at := fmt.Sprintf("abilities[%d].misses", i)
	if len(misses) > MaxMisses {
		r.fault(at, rules.ReasonTooManyItems, "has %d misses; %s are taken", len(misses), rules.Allow("at most %d", MaxMisses))
		return
	}
	sum := a.Success
	meant := o.outcomes[0].code.entry
	for j, m := range misses {
		field := fmt.Sprintf("%s[%d]", at, j)
		if len(a.Misses) == 0 {
			field = at // what was assumed
		}
		sum += m.Chance
		if m.Chance < 0 || m.Chance > One {
			r.fault(field+".chance", rules.ReasonFieldInvalid, "is %v; allowed is %s", m.Chance, rules.Allowed("0 to 1"))
		}
		if len(a.Misses) > 0 {
			r.grade(field+".grade", m.Grade)
		}
		c := r.read(m.Code, field+".code")
		if c == nil {
			continue
		}
		if c.entry.Kind() != meant.Kind() || c.entry.Box() != meant.Box() {
			r.fault(field+".code", rules.ReasonFieldInvalid, "%s does not stand in the place of %s in a program; a miss is an element of the same kind", m.Code, a.Code)
		}
		o.outcomes = append(o.outcomes, &outcome{code: c, grade: m.Grade, fall: m.Fall})
		o.proportions = append(o.proportions, m.Chance)
	}
	if off := sum - One; off > tolerance || off < -tolerance {
		r.fault(at, rules.ReasonFieldInvalid, "success and the chances of misses are %v together; allowed is %s", sum, rules.Allowed("1, within 0.001"))
	}
	o.success, o.whole = a.Success, sum
}

// String prints a chance with as many decimals as it has.
func (c Chance) String() string {
	sign, n := "", int64(c)
	if n < 0 {
		sign, n = "-", -n
	}
	text := fmt.Sprintf("%s%d.%06d", sign, n/int64(One), n%int64(One))
	for text[len(text)-1] == '0' {
		text = text[:len(text)-1]
	}
	if text[len(text)-1] == '.' {
		text = text[:len(text)-1]
	}
	return text
}
