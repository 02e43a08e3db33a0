package score

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/value"
)

// grades checks every element's marks and scores the grade of execution.
func (c *computation) grades() {
	for i := range c.in.Elements {
		given := &c.in.Elements[i]
		if len(c.in.Elements) > value.MaxElements {
			return
		}
		c.checkMarks(i, given)
		if c.out.Elements == nil {
			continue // the codes are faulty already
		}
		e := &c.out.Elements[i]
		var marks [MaxJudges]int32
		worthless := e.Base == 0
		if !worthless && !c.fill(i, given, &marks) {
			continue
		}
		if len(c.errs) > 0 {
			continue
		}
		if worthless {
			// An element with base value 0 scores 0.00 whatever the marks.
			if c.explain != nil {
				c.explain.element(e)
				c.explain.worthless(e)
			}
			continue
		}
		c.grade(i, e, marks[:c.present])
	}
}

func (c *computation) checkMarks(i int, given *Element) {
	scale := &c.Season.GOE
	for j, mark := range given.Marks {
		if int(mark) < scale.Min || int(mark) > scale.Max {
			c.errs.Add(fmt.Sprintf("elements[%d].marks[%d]", i, j), rules.ReasonMarkOutOfRange, "is %d; allowed is %s", mark, rules.Allow("%d to +%d", scale.Min, scale.Max))
		}
	}
	if c.panelInvalid {
		return // which judges there are is not known
	}
	total := c.present + len(c.in.Absent)
	for j, judge := range given.Missing {
		at := func() string { return fmt.Sprintf("elements[%d].missingMarks[%d].judge", i, j) }
		switch {
		case judge < 1 || int(judge) > total:
			c.errs.Add(at(), rules.ReasonJudgeUnknown, "there is no judge %d; the panel has judges %s", judge, rules.Allow("1 to %d", total))
		case c.column[judge] < 0:
			c.errs.Add(at(), rules.ReasonJudgeUnknown, "judge %d is absent for the whole segment already", judge)
		case slices.Contains(given.Missing[:j], judge):
			c.errs.Add(at(), rules.ReasonJudgeUnknown, "judge %d is named twice", judge)
		}
	}
}

// fill spreads the marks over the present judges. A missing mark takes what
// the season counts it as; the request may leave its place out or hold it.
func (c *computation) fill(i int, given *Element, marks *[MaxJudges]int32) bool {
	if c.panelInvalid {
		return false
	}
	missing := len(given.Missing)
	at := func() string { return fmt.Sprintf("elements[%d].marks", i) }
	switch n := len(given.Marks); {
	case missing > 0 && missing >= c.present:
		c.errs.Add(at(), rules.ReasonPanelSize, "has none that counts, since %d are named missing; an element that has a value needs the mark of %s", missing, rules.Allowed("at least one judge"))
		return false
	case n != c.present && n != c.present-missing:
		c.errs.Add(at(), rules.ReasonPanelSize, "has %d marks (and %d named missing), but the panel has %s present judges; name a judge who gave no mark in missingMarks", n, missing, rules.Allow("%d", c.present))
		return false
	}
	if len(c.errs) > 0 {
		return false
	}
	if missing == 0 {
		copy(marks[:], given.Marks)
		return true
	}
	var gone [MaxJudges]bool
	for _, judge := range given.Missing {
		gone[c.column[judge]] = true
	}
	next := 0
	held := len(given.Marks) == c.present
	for k := range c.present {
		switch {
		case gone[k]:
			marks[k] = int32(c.Season.GOE.MissingMark)
			if held {
				next++
			}
		default:
			marks[k] = given.Marks[next]
			next++
		}
	}
	return true
}

// grades is how many marks the widest scale has, -5 to +5.
const grades = 11

// grade drops the highest and lowest counted marks, turns each of the rest into
// points by the table, and takes their mean, rounded half-up to 0.01. Points
// rise with the marks in every table (loading checks it), so dropping marks is
// dropping points, and a dropped mark needs no known points. Two-part dance
// elements add the points of both parts mark by mark.
func (c *computation) grade(i int, e *ElementScore, marks []int32) {
	lowest := int32(c.Season.GOE.Min)
	var judges [grades]int // how many gave each mark, from the lowest up
	for _, column := range c.counted[:c.nCount] {
		judges[marks[column]-lowest]++
	}
	trim := c.trim()
	for k, left := 0, trim; left > 0; k++ {
		dropped := min(left, judges[k])
		judges[k], left = judges[k]-dropped, left-dropped
	}
	for k, left := grades-1, trim; left > 0; k-- {
		dropped := min(left, judges[k])
		judges[k], left = judges[k]-dropped, left-dropped
	}
	var sum rules.Points
	for k, n := range &judges {
		if n > 0 {
			sum += rules.Points(n) * c.points(i, e, marks, lowest+int32(k))
		}
	}
	if len(c.errs) > 0 {
		return
	}
	e.GOE = rules.Points(rules.RoundDiv(int64(sum), int64(c.nCount-2*trim)))
	e.Score = e.Base + e.GOE
	c.out.ElementScore += e.Score
	if c.explain != nil {
		counted := make([]int32, c.nCount)
		for k := range counted {
			counted[k] = marks[c.counted[k]]
		}
		slices.Sort(counted)
		c.explain.grade(e, counted, counted[trim:c.nCount-trim])
	}
}

// points returns a mark's points for an element.
func (c *computation) points(i int, e *ElementScore, marks []int32, mark int32) rules.Points {
	var sum rules.Points
	for _, row := range e.GOERows() {
		p, known, inferred := row.GOE(int(mark))
		if !known {
			c.errs.Add(fmt.Sprintf("elements[%d].marks[%d]", i, slices.Index(marks, mark)), rules.ReasonGOEUnknown,
				"the points of %+d for %s in season %s are in no published source that this table rests on", mark, row.Code, c.Season.Params.Season)
		}
		if inferred {
			c.out.Warnings.Add(row.GradeWarn, fmt.Sprintf("elements[%d]", i))
		}
		sum += p
	}
	return sum
}
