package score

import (
	"fmt"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// explainer writes the arithmetic steps in words and figures.
type explainer struct{ steps []string }

func (x *explainer) add(format string, args ...any) {
	x.steps = append(x.steps, fmt.Sprintf(format, args...))
}

func (x *explainer) element(e *ElementScore) {
	var sum []string
	for i, p := range e.Parts() {
		part := e.Element.Parts()[i]
		if p.Row != nil && strings.Contains(p.Row.Code, "+") { // the row is that of the whole element
			sum = []string{p.Row.Code + " " + p.Base().String()}
			break
		}
		if p.Row == nil {
			sum = append(sum, part.Text+" 0.00 (no value)")
			continue
		}
		sum = append(sum, part.Text+" "+p.Base().String())
	}
	line := e.Element.String() + ": base value " + strings.Join(sum, " + ")
	for _, f := range e.Factors() {
		line += fmt.Sprintf(" x %v (%s)", f.By, strings.ToLower(strings.ReplaceAll(f.Kind.String(), "_", " ")))
	}
	rounded := ""
	if len(e.Factors()) > 1 {
		rounded = ", rounded after each factor"
	}
	x.add("%s = %v%s", line, e.Base, rounded)
}

func (x *explainer) worthless(e *ElementScore) {
	x.add("%s: no base value, so the element scores 0.00 whatever the marks", e.Element.String())
}

func (x *explainer) grade(e *ElementScore, counted, rest []int32) {
	x.element(e)
	code := e.Element.String()
	var names, points []string
	for _, r := range e.GOERows() {
		names = append(names, r.Code)
	}
	for _, mark := range rest {
		var sum rules.Points
		for _, r := range e.GOERows() {
			p, _, _ := r.GOE(int(mark))
			sum += p
		}
		points = append(points, sum.String())
	}
	x.add("%s: counted marks %s%s give points %s by the table of %s", code, list(counted), dropped((len(counted)-len(rest))/2), strings.Join(points, " "), strings.Join(names, " + "))
	x.add("%s: GOE = mean of the points = %v, rounded to 0.01", code, e.GOE)
	x.add("%s: score = %v + (%v) = %v", code, e.Base, e.GOE, e.Score)
}

func (x *explainer) component(c rules.Component, marks []rules.Points, trim int, mean, score rules.Points) {
	x.add("%s: mean of the marks %s%s = %v, rounded to 0.01", c.Name, list(marks), dropped(trim), mean)
	x.add("%s: %v x factor %v = %v, rounded to 0.01", c.Name, mean, c.Factor, score)
}

func (x *explainer) deductions(r *Result) {
	for _, d := range r.Deductions {
		x.add("deduction %s, %d time(s): %v", d.Kind, d.Count, d.Value)
	}
}

func (x *explainer) total(r *Result) {
	x.add("element score = sum of the element scores = %v", r.ElementScore)
	x.add("component score = sum of the factored components = %v", r.ComponentScore)
	x.add("segment score = %v + %v + (%v) = %v", r.ElementScore, r.ComponentScore, r.TotalDeductions, r.SegmentScore)
}

func dropped(trim int) string {
	switch trim {
	case 0:
		return ""
	case 1:
		return " without one highest and one lowest"
	default:
		return fmt.Sprintf(" without the %d highest and %d lowest", trim, trim)
	}
}

func list[T any](values []T) string {
	texts := make([]string, len(values))
	for i, v := range values {
		texts[i] = fmt.Sprint(v)
	}
	return strings.Join(texts, " ")
}
