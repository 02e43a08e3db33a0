package plan

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules/program"
)

// Caution stands beside every plan.
const Caution = program.Caution

// Assumption is something that a plan takes for granted.
type Assumption struct {
	Code    string
	Message string
}

// assumptions lists what the answer takes for granted.
func (p *planner) assumptions() {
	add := func(code, message string) {
		p.out.Assumptions = append(p.out.Assumptions, Assumption{code, message})
	}
	add("INDEPENDENT", "Each element comes or fails by its own chance, whatever came before it. A fall that unsettles the next jump is not counted.")
	add("ORDER", "What stands in which half was chosen; the order inside a half was not, since it changes hardly anything (0.03 points at most in the programs tried). The coach chooses it.")
	if p.tires() || p.req.SecondHalf.Grade != 0 {
		add("TIREDNESS", "Tiredness is the same for every jump and throw of the second half; which element tires more is not counted.")
	} else {
		add("TIREDNESS", "Nothing is taken off for tiredness in the second half, where jumps may come less often.")
	}
	add("LOAD", "The load on the body and what may be trained are not counted: jumps can be limited.")
	add("GRADES", "A mean grade is taken for its points on the line between the two whole grades. Where the points of grades are not evenly spaced, as before 2018-19, the mean of the points can differ.")
	if len(p.out.Assumed) > 0 {
		add("MISSES", "For abilities without misses it is assumed: a jump or throw alone falls at the lowest grade, of a combination the first jump falls and the rest is not done, an element with a level comes one level lower.")
	}
}

// compare says how the plans differ from the first.
func (p *planner) compare() {
	if len(p.out.Plans) == 0 {
		return
	}
	first := &p.out.Plans[0]
	for i := range p.out.Plans {
		x := &p.out.Plans[i]
		x.Differs = new(big.Rat).Sub(first.Net, x.Net)
		if i == 0 {
			continue
		}
		x.Message = swap(first, x)
		if first.Error != nil && new(big.Rat).Abs(x.Differs).Cmp(new(big.Rat).SetInt64(int64(*first.Error))) < 0 {
			x.Message += fmt.Sprintf(" It is %v points away from the first plan, less than the standard error of %v that so few attempts leave: their order is noise.", Round(x.Differs), *first.Error)
		}
	}
}

// swap says which elements stand in one plan and not in another.
func swap(first, other *Plan) string {
	gone, added := missing(first, other), missing(other, first)
	switch {
	case len(gone) == 0 && len(added) == 0:
		return "The same elements in other halves."
	case len(gone) == 0:
		return fmt.Sprintf("With %s more.", strings.Join(added, ", "))
	case len(added) == 0:
		return fmt.Sprintf("Without %s.", strings.Join(gone, ", "))
	}
	return fmt.Sprintf("%s in place of %s.", strings.Join(added, ", "), strings.Join(gone, ", "))
}

// missing lists the codes of one plan that another does not have, as often.
func missing(from, in *Plan) []string {
	var left, codes []string
	for _, e := range in.Elements {
		left = append(left, e.Code)
	}
	for _, e := range from.Elements {
		if at := slices.Index(left, e.Code); at >= 0 {
			left = slices.Delete(left, at, at+1)
		} else {
			codes = append(codes, e.Code)
		}
	}
	return codes
}

// practiceWords says what practice of an ability is worth.
func (p *planner) practiceWords(x *Practice) string {
	success := func(c Chance) string { return fmt.Sprintf("%d of 100", int64(c/onePoint)) }
	var b strings.Builder
	if gain := Round(x.Gain); gain > 0 {
		fmt.Fprintf(&b, "Ten times more of 100 would add %v points.", gain)
	} else {
		b.WriteString("More success would add nothing yet.")
	}
	switch {
	case x.Needed == nil:
		b.WriteString(" Even without a miss it is in no best program.")
	case x.InPlan && *x.Needed > 0:
		fmt.Fprintf(&b, " It belongs in the program from %s on.", success(*x.Needed))
	case x.InPlan:
		b.WriteString(" It belongs in the program however often it succeeds.")
	default:
		fmt.Fprintf(&b, " It would enter the program from %s on.", success(*x.Needed))
	}
	return b.String()
}
