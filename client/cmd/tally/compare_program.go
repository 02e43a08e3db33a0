package main

import (
	"cmp"
	"fmt"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
)

// printBeside prints a program under two seasons side by side.
func (a *app) printBeside(c *pb.CheckProgramResponse) {
	other := c.GetCompared()
	from, to := c.GetRules().GetSeason(), other.GetRules().GetSeason()
	t := newTable([]any{"#", from, "Value", to, "Value", "Change"}, 1, 3, 5, 6)
	for i, e := range c.GetElements() {
		o := other.GetElements()[i] // both answers have the elements of the request
		t.add(i+1, e.GetCode(), e.GetBaseValue(), o.GetCode(), o.GetBaseValue(), change(e.GetBaseValue(), o.GetBaseValue()))
	}
	sum := func(name, first, second string) {
		if first != "" && second != "" {
			t.add("", name, first, name, second, change(first, second))
		}
	}
	sum("Base value", c.GetTotalBaseValue(), other.GetTotalBaseValue())
	sum("With the grades", c.GetPredicted().GetElementScore(), other.GetPredicted().GetElementScore())
	sum("Before deductions", c.GetPredicted().GetTotal(), other.GetPredicted().GetTotal())
	a.printTable(t)
	a.printFindings("Findings of "+from, c)
	a.printFindings("Findings of "+to, other)
	if caution := cmp.Or(c.GetCaution(), other.GetCaution()); caution != "" {
		fmt.Fprintf(a.out, "\n%s\n", caution)
	}
	var warnings []*pb.Warning
	for _, one := range []*pb.CheckProgramResponse{c, other} {
		for _, w := range one.GetWarnings() {
			warnings = append(warnings, &pb.Warning{
				Message: one.GetRules().GetSeason() + ": " + w.GetMessage(), Confidence: w.GetConfidence(), Fields: w.GetFields(),
			})
		}
	}
	a.printWarnings(warnings)
	fmt.Fprintln(a.out, "\nUnofficial: the technical panel calls what was skated, and the event's referee signs.")
}

// change returns the difference of two points with its sign.
func change(from, to string) string {
	f, _ := rules.ParsePoints(from) // the authority writes points
	t, _ := rules.ParsePoints(to)
	if t > f {
		return "+" + (t - f).String()
	}
	return (t - f).String()
}
