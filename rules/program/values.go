package program

import (
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
)

// values sets every element's credited code and value, and adds up.
func (c *checker) values() rules.FieldErrors {
	skated := c.credited()
	valued, err := c.Context.Elements(nil, skated, &c.out.Warnings)
	if err != nil {
		return err
	}
	c.out.Elements = make([]Credited, len(valued))
	graded := false
	var score rules.Points
	for i := range valued {
		x := &c.out.Elements[i]
		*x = Credited{Code: skated[i].Code, Kind: valued[i].Kind(), Base: valued[i].Base, Score: valued[i].Base, Valued: valued[i]}
		if g := c.in.Elements[i].Grade; g != nil {
			graded = true
			if goe, ok := goe(&valued[i], *g, &c.out.Warnings, field(i)); ok {
				x.GOE, x.Score = &goe, x.Base+goe
			}
		}
		c.out.Base += x.Base
		score += x.Score
		c.addKind(x)
	}
	components, err := c.components()
	if err != nil {
		return err
	}
	if graded || components != nil {
		c.out.Predicted = &Prediction{ElementScore: score, ComponentScore: components}
		if components != nil {
			total := score + *components
			c.out.Predicted.Total = &total
		}
	}
	return nil
}

// credited lists the elements as the rules credit them.
func (c *checker) credited() []value.Skated {
	skated := make([]value.Skated, len(c.items))
	for i := range c.items {
		skated[i] = value.Skated{Code: c.items[i].String(), SecondHalf: c.in.Elements[i].SecondHalf}
	}
	return skated
}

// markVoid prints the no-value mark behind +COMBO too, where the season does.
func (c *checker) markVoid() {
	if !c.rules().Marks.NoValueAfter {
		return
	}
	for i := range c.items {
		for j := range c.items[i].Parts() {
			if p := &c.items[i].Parts()[j]; p.NoValue && p.After&element.COMBO != 0 {
				p.NoValueAfter = true
			}
		}
	}
}

// goe returns the points of an average grade. Between two whole grades it lies
// on the line between their points, rounded to 0.01 (half away from zero); the
// points that the panel's computer finds can differ by 0.01 or so, because it
// takes the mean of each judge's points.
// Of points that were inferred it warns, at the field of the request.
func goe(v *value.Valued, grade rules.Points, warnings *rules.Warnings, field string) (rules.Points, bool) {
	low := int(grade / rules.Point)
	if grade%rules.Point < 0 {
		low--
	}
	rest := int64(grade) - int64(low)*int64(rules.Point)
	var sum rules.Points
	for _, row := range v.GOERows() {
		from, known, inferred := row.GOE(low)
		to := from
		if rest != 0 {
			var k, f bool
			to, k, f = row.GOE(low + 1)
			known, inferred = known && k, inferred || f
		}
		if !known {
			return 0, false
		}
		if inferred {
			warnings.Add(row.GradeWarn, field)
		}
		point := int64(rules.Point)
		sum += rules.Points(rules.RoundDiv(int64(from)*(point-rest)+int64(to)*rest, point))
	}
	return sum, true
}

// components returns the expected component score: each average times its
// factor, rounded to 0.01, then added.
func (c *checker) components() (*rules.Points, rules.FieldErrors) {
	if len(c.in.Components) == 0 {
		return nil, nil
	}
	var errs rules.FieldErrors
	var sum rules.Points
	known := c.Segment.ComponentKeys()
	grid := &c.Season.ComponentMarks
	for _, component := range c.Segment.Panel {
		mark, ok := c.in.Components[component.Key]
		switch {
		case !ok:
			errs.Add("components."+component.Key, rules.ReasonComponentMissing, "is missing: give the expected average mark of every component (%s), or of none", rules.AllowList(known))
		case mark < grid.Min || mark > grid.Max:
			errs.Add("components."+component.Key, rules.ReasonMarkOutOfRange, "is %v; allowed is %s", mark, rules.Allow("%v to %v", grid.Min, grid.Max))
		default:
			sum += mark.MulDiv(int64(component.Factor), int64(rules.Point))
		}
	}
	for _, key := range rules.SortedKeys(c.in.Components) {
		if !slices.Contains(known, key) {
			errs.Add("components."+key, rules.ReasonComponentUnknown, "is not a component of this segment; it has: %s", rules.AllowList(known))
		}
	}
	return &sum, errs
}

func (c *checker) addKind(x *Credited) {
	for i := range c.out.Kinds {
		if k := &c.out.Kinds[i]; k.Kind == x.Kind {
			k.Count++
			k.Base += x.Base
			k.Score += x.Score
			return
		}
	}
	c.out.Kinds = append(c.out.Kinds, KindTotal{Kind: x.Kind, Count: 1, Base: x.Base, Score: x.Score})
}
