// Package demo plays an invented event.
package demo

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"time"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/access"
)

// Event is an invented event that plays itself through the same calls as a real
// one. Equal seeds make equal events: the same orders, calls and marks. Nobody in
// it exists.
type Event struct {
	Service pb.EventServiceServer
	Seed    uint64
	// Pause waits between two things that happen, so long at normal pace. Nil does
	// not wait. An error ends the event.
	Pause func(ctx context.Context, d time.Duration) error
	// Today is the day of the event.
	Today time.Time
	// Started is told the event's id before the first skater is called; nil is not
	// told.
	Started func(event string)

	random *rand.Rand
	event  string
}

// How long things take in a rink, shortened so that something always moves.
const (
	elementTime = 3 * time.Second
	markTime    = 400 * time.Millisecond
	nextTime    = 4 * time.Second
)

const judges = 5

// category is a category of the demo with its skaters.
type category struct {
	key     string
	skaters []skater
}

// skater is an invented skater. Skill is about the GOE mark that the skater
// gets for an average element.
type skater struct {
	name, club string
	skill      int
}

var categories = []category{
	{"senior-women", []skater{
		{"Lumi Glacierby", "Quarry Lake", 2}, {"Nova Rinkwater", "Mill Pond", 1}, {"Isla Frostmeadow", "North Tarn", 0},
		{"Pearl Snowhollow", "Quarry Lake", 3}, {"Wren Icethorne", "Mill Pond", 1}, {"Ivy Coldspring", "North Tarn", 2},
	}},
	{"senior-men", []skater{
		{"Oak Winterford", "North Tarn", 1}, {"Flint Bladesmith", "Quarry Lake", 2}, {"Reed Hoarfield", "Mill Pond", 0},
		{"Slate Northmere", "North Tarn", 3}, {"Birch Sleetworth", "Mill Pond", 1}, {"Moss Rimevale", "Quarry Lake", 2},
	}},
}

// programs is what everybody skates, by segment. The last element is called
// by what was skated.
var programs = map[string][]string{
	"short-program": {"3Lz+3T", "3F", "FCSp4", "2A", "StSq3", "CSSp4"},
	"free-skating":  {"3Lz+2T", "3F", "3Lo", "FSSp4", "2A+3T", "StSq3", "3S", "3Lz", "ChSq1", "3T+2T", "FCSp3"},
}

var half = map[string]int{"short-program": 4, "free-skating": 6} // elements of the first half

// spin is a combination spin with a change of foot.
var spin = &pb.LevelledElement{Kind: &pb.LevelledElement_Spin{Spin: &pb.Spin{Feet: []*pb.SpinFoot{
	{Positions: []*pb.SpinPosition{
		{Position: pb.Position_CAMEL, Variation: pb.Variation_CAMEL_UPWARD, Revolutions: 8},
	}},
	{Change: pb.FootChange_STEP, Positions: []*pb.SpinPosition{
		{Position: pb.Position_SIT, Variation: pb.Variation_SIT_FORWARD, Revolutions: 3},
		{Position: pb.Position_UPRIGHT, Variation: pb.Variation_UPRIGHT_STRAIGHT_OR_SIDEWAYS, Revolutions: 3},
	}},
}}}}

// as returns a context whose calls are made by a role of the demo.
func (d *Event) as(ctx context.Context, role pb.Role_Value, judge int32) context.Context {
	return access.WithActor(ctx, access.Actor{Event: d.event, Role: role, Judge: judge, Token: "demo"})
}

func (d *Event) organiser(ctx context.Context) context.Context {
	return d.as(ctx, pb.Role_ORGANISER, 0)
}

func (d *Event) referee(ctx context.Context) context.Context { return d.as(ctx, pb.Role_REFEREE, 0) }

func (d *Event) panel(ctx context.Context) context.Context {
	return d.as(ctx, pb.Role_TECHNICAL_PANEL, 0)
}

// Play sets the event up and runs it to the signed results.
func (d *Event) Play(ctx context.Context) error {
	d.random = rand.New(rand.NewPCG(d.Seed, 0)) //nolint:gosec // must be the same every time
	if err := d.setUp(ctx); err != nil {
		return fmt.Errorf("demo: set up: %w", err)
	}
	if d.Started != nil {
		d.Started(d.event)
	}
	for _, segment := range []string{"short-program", "free-skating"} {
		for _, c := range categories {
			if err := d.segment(ctx, c.key, segment); err != nil {
				return fmt.Errorf("demo: %s of %s: %w", segment, c.key, err)
			}
		}
	}
	return nil
}

func (d *Event) wait(ctx context.Context, long time.Duration) error {
	if d.Pause == nil {
		return ctx.Err()
	}
	return d.Pause(ctx, long)
}

func (d *Event) setUp(ctx context.Context) error {
	admin := access.WithActor(ctx, access.Actor{Role: pb.Role_ADMIN, Token: "demo"})
	created, err := d.Service.CreateEvent(admin, &pb.CreateEventRequest{
		Name: "Demo Cup", Place: "Tarn Hall (invented)", StartDate: d.Today.Format(time.DateOnly), Season: "current",
	})
	if err != nil {
		return err
	}
	d.event = created.GetEvent().GetEvent()
	organiser := d.organiser(ctx)
	members := []*pb.PanelMember{
		{Task: pb.PanelTask_REFEREE, Name: "Referee"}, {Task: pb.PanelTask_TECHNICAL_CONTROLLER, Name: "Controller"},
		{Task: pb.PanelTask_TECHNICAL_SPECIALIST, Name: "Specialist"},
	}
	if _, err := d.Service.SetPanel(organiser, &pb.SetPanelRequest{
		Event: d.event, Panel: &pb.EventPanel{Judges: judges, Members: members},
	}); err != nil {
		return err
	}
	var csv strings.Builder
	csv.WriteString("category,name,club\n")
	for _, c := range categories {
		if _, err := d.Service.SetCategory(organiser, &pb.SetCategoryRequest{Event: d.event, Category: c.key}); err != nil {
			return err
		}
		for _, s := range c.skaters {
			fmt.Fprintf(&csv, "%s,%s,%s\n", c.key, s.name, s.club)
		}
	}
	_, err = d.Service.ImportEntries(organiser, &pb.ImportEntriesRequest{Event: d.event, Csv: csv.String()})
	return err
}

func (d *Event) segment(ctx context.Context, category, segment string) error {
	draw := &pb.DrawStartingOrderRequest{Event: d.event, Category: category, Segment: segment, Seed: new(d.Seed), GroupSize: 3}
	if segment == "free-skating" {
		draw.Method, draw.Seed = pb.OrderMethod_REVERSE_STANDING, nil
	}
	if _, err := d.Service.DrawStartingOrder(d.organiser(ctx), draw); err != nil {
		return err
	}
	if _, err := d.Service.StartSegment(d.referee(ctx), &pb.StartSegmentRequest{Event: d.event, Category: category, Segment: segment}); err != nil {
		return err
	}
	skaters := map[string]skater{}
	for _, c := range categories {
		for _, s := range c.skaters {
			skaters[s.name] = s
		}
	}
	for range len(skaters) / len(categories) {
		called, err := d.Service.CallSkater(d.panel(ctx), &pb.CallSkaterRequest{Event: d.event, Category: category, Segment: segment})
		if err != nil {
			return err
		}
		p := called.GetPerformance()
		if err := d.perform(ctx, p, skaters[p.GetName()].skill); err != nil {
			return fmt.Errorf("%s: %w", p.GetName(), err)
		}
		if err := d.wait(ctx, nextTime); err != nil {
			return err
		}
	}
	_, err := d.Service.PublishSegment(d.referee(ctx), &pb.PublishSegmentRequest{Event: d.event, Category: category, Segment: segment})
	return err
}

// perform skates one program: calls, marks, deductions, confirmation.
func (d *Event) perform(ctx context.Context, p *pb.Performance, skill int) error {
	falls := int32(0)
	program := append(append([]string(nil), programs[p.GetSegment()]...), "")
	for i, planned := range program {
		if err := d.wait(ctx, elementTime); err != nil {
			return err
		}
		code, spoiled, fell := d.skate(planned, skill)
		if fell {
			falls++
		}
		call := &pb.CallElementRequest{
			Event: d.event, Category: p.GetCategory(), Segment: p.GetSegment(), Entry: p.GetEntry(),
			Code: code, SecondHalf: i >= half[p.GetSegment()],
		}
		if code == "" {
			call.Skated = spin
		}
		called, err := d.Service.CallElement(d.panel(ctx), call)
		if err != nil {
			return err
		}
		if err := d.markElement(ctx, p, called.GetElement(), skill-spoiled); err != nil {
			return err
		}
	}
	if _, err := d.Service.EndProgram(d.panel(ctx), &pb.EndProgramRequest{
		Event: d.event, Category: p.GetCategory(), Segment: p.GetSegment(), Entry: p.GetEntry(),
	}); err != nil {
		return err
	}
	if err := d.markComponents(ctx, p, skill); err != nil {
		return err
	}
	if falls > 0 {
		if _, err := d.Service.SetDeductions(d.referee(ctx), &pb.SetDeductionsRequest{
			Event: d.event, Category: p.GetCategory(), Segment: p.GetSegment(), Entry: p.GetEntry(),
			Deductions: []*pb.Deduction{{Kind: pb.DeductionKind_FALL, Count: &falls}},
		}); err != nil {
			return err
		}
	}
	_, err := d.Service.ConfirmSkater(d.referee(ctx), &pb.ConfirmSkaterRequest{
		Event: d.event, Category: p.GetCategory(), Segment: p.GetSegment(), Entry: p.GetEntry(),
	})
	return err
}

// skate decides how a planned element went: its code, by how many marks it was
// spoiled, and whether the skater fell.
func (d *Event) skate(planned string, skill int) (code string, spoiled int, fell bool) {
	jump := planned != "" && planned[0] >= '1' && planned[0] <= '4'
	switch chance := d.random.IntN(20) + 2*skill; { //nolint:mnd // the better, the rarer
	case !jump || chance > 3:
		return planned, 0, false
	case chance > 1:
		return planned + "<", 3, false
	default:
		return planned + "<", 6, true
	}
}

func (d *Event) markElement(ctx context.Context, p *pb.Performance, element int32, level int) error {
	for judge := int32(1); judge <= judges; judge++ {
		if err := d.wait(ctx, markTime); err != nil {
			return err
		}
		const least, most = -5, 5
		mark := int32(min(most, max(least, level+d.random.IntN(3)-1)))
		if _, err := d.Service.SetElementMarks(d.as(ctx, pb.Role_JUDGE, judge), &pb.SetElementMarksRequest{
			Event: d.event, Category: p.GetCategory(), Segment: p.GetSegment(), Entry: p.GetEntry(), Judge: judge,
			Marks: []*pb.GivenElementMark{{Element: element, Mark: &mark}},
		}); err != nil {
			return err
		}
	}
	return nil
}

func (d *Event) markComponents(ctx context.Context, p *pb.Performance, skill int) error {
	for judge := int32(1); judge <= judges; judge++ {
		if err := d.wait(ctx, markTime); err != nil {
			return err
		}
		var marks []*pb.GivenComponentMark
		for _, c := range p.GetComponents() {
			const steps, base = 4, 24 // quarter points: 6.00 and up
			mark := float64(base+2*skill+d.random.IntN(3)) / steps
			marks = append(marks, &pb.GivenComponentMark{Component: c.GetComponent(), Mark: &mark})
		}
		if _, err := d.Service.SetComponentMarks(d.as(ctx, pb.Role_JUDGE, judge), &pb.SetComponentMarksRequest{
			Event: d.event, Category: p.GetCategory(), Segment: p.GetSegment(), Entry: p.GetEntry(), Judge: judge, Marks: marks,
		}); err != nil {
			return err
		}
	}
	return nil
}
