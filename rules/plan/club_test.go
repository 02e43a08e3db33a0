package plan_test

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules/plan"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// A club's own elements and content rules are planned as a season's. A combination of a
// waltz jump that breaks off every other time is worth 0.5 x 0.77 + 0.5 x 0.33 = 0.55 in
// the second half, beside toe loops of 0.44 and 0.40, and the club's spin of 0.60.
func TestPlanByTheRulesOfAClub(t *testing.T) {
	c, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS}, table.Layer{Name: "club", FS: fstest.MapFS{
		"lake/season.yaml": {Data: []byte(`season: lake
title: Lake
extends: 2025-26
source: our own rule
values: {singles: extend}
component_sets:
  two: [COMPOSITION, SKATING_SKILLS]
categories:
  cubs:
    title: Cubs
    discipline: singles
    max_level: 1
    segments:
      free-skating: {title: Free skating, components: two, factor: 1.50, second_half: {which: all}}
`)},
		"lake/singles.csv": {Data: []byte("# our own values\ncode,kind,base_value\nWJ,jump,0.30\nOneSp,,0.60\n")},
		"lake/program.yaml": {Data: []byte(`source: our own rule
layouts:
  cubs-free:
    title: Free skating of the cubs
    boxes:
      jump: {title: jump elements, kind: jump, min: 1, max: 3}
      spin: {title: spins, kind: spin, min: 1, max: 1}
    combinations: {max: 2, jumps: 2, long: 0, extra: AS_SOLO, long_over: JUMP}
categories:
  cubs: {free-skating: cubs-free}
`)},
	}})
	if err != nil {
		t.Fatal(err)
	}
	season, err := c.Season("lake")
	if err != nil {
		t.Fatal(err)
	}
	got := best(t, season, &plan.Request{
		Category: "cubs", Segment: "free-skating", SecondHalf: plan.SecondHalf{Success: plan.One},
		Abilities: []plan.Ability{
			ability("WJ", 100, 0), ability("1T", 100, 0), ability("WJ+1T", 50, 0, plan.Miss{Code: "WJ", Chance: 500_000}),
			ability("OneSp", 100, 0), ability("StSq1", 100, 0),
		},
	})
	p := &got.Plans[0]
	if ofPlan(p) != "1T, OneSp, 1T x, WJ+1T x" || plan.Round(p.Net).String() != "1.99" || !got.Optimal {
		t.Errorf("%s: %v, optimal %v", ofPlan(p), plan.Round(p.Net), got.Optimal)
	}
	if len(got.Unusable) != 1 || got.Unusable[0].Ability != 4 {
		t.Errorf("unusable: %v", got.Unusable)
	}
}

// Pairs and ice dance are planned where their content is known.
func TestPlansOfOtherDisciplines(t *testing.T) {
	catalog := load(t)
	for _, c := range []struct {
		season, category, segment string
		codes                     []string
		want                      string
	}{
		// One throw of each kind, one death spiral, one twist; a jump alone and a combination.
		{"2025-26", "senior-pairs", "free-skating", []string{"3Tw4", "3LoTh", "3STh", "5ALi4", "5RLi4", "5TLi4", "4Li4", "BoDs4", "FiDs3", "PCoSp4", "ChSq1", "2A", "3T+2T"}, "2A, 3T+2T, 3Tw4, 3LoTh, 3STh, 5ALi4, 5RLi4, 5TLi4, BoDs4, PCoSp4, ChSq1"},
		// A combination lift is two of three short lifts; three choreographic elements differ.
		{"2025-26", "senior-dance", "free-dance", []string{"CuLi4", "RoLi3", "SlLi4+RoLi4", "DSp4", "CiStW4+CiStM4", "SyTwW4+SyTwM4", "OFTW4+OFTM4", "ChSt1", "ChSl1", "ChTw1"}, "CuLi4, SlLi4+RoLi4, DSp4, CiStW4+CiStM4, SyTwW4+SyTwM4, OFTW4+OFTM4, ChSt1, ChSl1, ChTw1"},
	} {
		t.Run(c.category, func(t *testing.T) {
			season, err := catalog.Season(c.season)
			if err != nil {
				t.Fatal(err)
			}
			once := 1
			req := &plan.Request{Category: c.category, Segment: c.segment, SecondHalf: plan.SecondHalf{Success: plan.One, AtMost: new(int)}}
			for _, code := range c.codes {
				a := ability(code, 100, 0)
				a.AtMost = &once
				req.Abilities = append(req.Abilities, a)
			}
			got := best(t, season, req)
			if p := &got.Plans[0]; !got.Optimal || !sameElements(ofPlan(p), c.want) || lost(p.Program) {
				t.Errorf("%s, optimal %v; want %s", ofPlan(p), got.Optimal, c.want)
			}
		})
	}
}

// sameElements reports whether two programs have the same elements, in any order.
func sameElements(a, b string) bool {
	left, right := strings.Split(a, ", "), strings.Split(b, ", ")
	slices.Sort(left)
	slices.Sort(right)
	return slices.Equal(left, right)
}
