package main

import (
	"fmt"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
)

// printProgram prints the sheet of a checked program.
func (a *app) printProgram(c *pb.CheckProgramResponse) {
	a.printCredited(c)
	a.printFindings("Findings", c)
	a.printKinds(c)
	a.printWorth(c)
	if c.GetCaution() != "" {
		fmt.Fprintf(a.out, "\n%s\n", c.GetCaution())
	}
	a.printWarnings(c.GetWarnings())
	fmt.Fprintln(a.out, "\nUnofficial: the technical panel calls what was skated, and the event's referee signs.")
}

func (a *app) printCredited(c *pb.CheckProgramResponse) {
	graded := c.GetPredicted() != nil
	header, numbers := []any{"#", "Element", "Value"}, []int{1, 3}
	if graded {
		header, numbers = append(header, "Grade", "Score"), append(numbers, 4, 5)
	}
	t := newTable(append(header, "Made of"), numbers...)
	row := func(number any, code, value, goe, score, made string) {
		r := []any{number, code, value}
		if graded {
			r = append(r, goe, score)
		}
		t.add(append(r, made)...)
	}
	for i, e := range c.GetElements() {
		row(i+1, e.GetCode(), e.GetBaseValue(), e.GetGoe(), e.GetScore(), madeOf(e.GetParts(), e.GetFactors()))
	}
	predicted := c.GetPredicted()
	row("", "Elements", c.GetTotalBaseValue(), "", predicted.GetElementScore(), "")
	if predicted.GetTotal() != "" {
		row("", "Components", "", "", predicted.GetComponentScore(), "")
		row("", "Before deductions", "", "", predicted.GetTotal(), "")
	}
	a.printTable(t)
}

var severityWords = map[pb.Severity_Value]string{
	pb.Severity_ERROR: "loss", pb.Severity_WARNING: "look", pb.Severity_INFO: "note",
}

func (a *app) printFindings(title string, c *pb.CheckProgramResponse) {
	fmt.Fprintf(a.out, "\n%s\n", title)
	if len(c.GetFindings()) == 0 {
		fmt.Fprintln(a.out, "  Nothing speaks against this program.")
	}
	for _, f := range c.GetFindings() {
		where := "Program"
		if f.Element != nil {
			where = fmt.Sprintf("%d %s", f.GetElement()+1, c.GetElements()[f.GetElement()].GetCode())
		}
		fmt.Fprintf(a.out, "  %s (%s): %s\n", where, severityWords[f.GetSeverity()], strings.TrimSpace(f.GetMessage()+" "+f.GetAdvice()))
	}
}

// printKinds shows where the points are, with a bar for each kind of element.
func (a *app) printKinds(c *pb.CheckProgramResponse) {
	const width = 40
	var total rules.Points
	scores := make([]rules.Points, len(c.GetKinds()))
	for i, k := range c.GetKinds() {
		scores[i], _ = rules.ParsePoints(k.GetScore()) // the authority writes points
		total += max(0, scores[i])
	}
	if total == 0 {
		return
	}
	fmt.Fprintln(a.out, "\nWhere the points are")
	t := newTable(nil, 2, 3, 4)
	for i, k := range c.GetKinds() {
		share := int(max(0, scores[i]) * 100 / total)
		t.add("  "+strings.ReplaceAll(k.GetKind(), "_", " "), k.GetCount(), k.GetScore(), fmt.Sprintf("%d%%", share), strings.Repeat("=", share*width/100))
	}
	a.printTable(t)
}

// printWorth shows what one level or one call changes in each element.
func (a *app) printWorth(c *pb.CheckProgramResponse) {
	t := newTable(nil, 1)
	for i, e := range c.GetElements() {
		if text := worth(e); text != "" {
			t.add(i+1, e.GetCode(), text)
		}
	}
	if len(t.rows) == 0 {
		return
	}
	fmt.Fprintln(a.out, "\nWhat one level or one call would change, the grade staying as it is")
	a.printTable(t)
}

func worth(e *pb.CreditedElement) string {
	var list []string
	for _, w := range e.GetWorth() {
		what := w.GetCode()
		if w.GetCall() == pb.PanelCall_FALL {
			what = "fall"
		}
		switch d := w.GetDifference(); {
		case d == "0.00":
		case strings.HasPrefix(d, "-"):
			list = append(list, what+" "+d)
		default:
			list = append(list, what+" +"+d)
		}
	}
	return strings.Join(list, ", ")
}
