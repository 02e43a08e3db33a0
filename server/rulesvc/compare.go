package rulesvc

import (
	"context"
	"slices"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/errs"
)

// CompareSeasons shows what changed between two seasons: elements without signs,
// and every rule of the tables.
func (s *Service) CompareSeasons(_ context.Context, req *pb.CompareSeasonsRequest) (*pb.CompareSeasonsResponse, error) {
	from, to, warnings, faults := s.tables.Pair(req.GetFrom(), req.GetTo())
	d := rules.Discipline(req.GetDiscipline())
	if d != "" && !slices.Contains(rules.Disciplines, d) {
		faults.Add("discipline", rules.ReasonFieldInvalid, "is %s; allowed are: %s", rules.Quote(req.GetDiscipline()), rules.AllowList(rules.Disciplines))
	}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	res := &pb.CompareSeasonsResponse{
		From: answer.RulesInfo(from), To: answer.RulesInfo(to),
		RuleChanges: ruleChanges(from, to, d), Warnings: answer.Warnings(nil, warnings),
	}
	disciplines := rules.Disciplines
	if d != "" {
		disciplines = []rules.Discipline{d}
	}
	type key struct {
		discipline  rules.Discipline
		code, scope string
	}
	before := map[key]*rules.Value{}
	earlier := entriesOf(from, disciplines)
	for _, e := range earlier {
		before[key{e.discipline, e.row.Code, e.row.Scope}] = e.row
	}
	after := map[key]bool{}
	for _, e := range entriesOf(to, disciplines) {
		k := key{e.discipline, e.row.Code, e.row.Scope}
		after[k] = true
		switch old := before[k]; {
		case old == nil:
			res.Added = append(res.Added, elementValue(e))
		case old.Base != e.row.Base:
			res.Changed = append(res.Changed, &pb.ValueChange{
				Code: k.code, Discipline: string(k.discipline), Scope: k.scope,
				From: old.Base.String(), To: e.row.Base.String(), Difference: (e.row.Base - old.Base).String(),
			})
		}
	}
	for _, e := range earlier {
		if !after[key{e.discipline, e.row.Code, e.row.Scope}] {
			res.Removed = append(res.Removed, elementValue(e))
		}
	}
	return res, nil
}

func elementValue(e entry) *pb.ElementValue {
	return &pb.ElementValue{Code: e.row.Code, Discipline: string(e.discipline), BaseValue: e.row.Base.String(), Scope: e.row.Scope}
}

// apart are the keys that differ between any two seasons and tell nothing, as does
// where a table's values come from (values.singles and so on).
var apart = []string{"season", "title", "extends", "valid_from", "valid_to"}

// ruleChanges compares the rules of two seasons; of one discipline when d names it.
func ruleChanges(from, to *rules.Season, d rules.Discipline) []*pb.RuleChange {
	skip := slices.Concat([]string{"values."}, ofOthers(from, d), ofOthers(to, d))
	before, after := map[string]string{}, map[string]string{}
	var keys []string
	collect := func(list []rules.Rule, into map[string]string) {
		for _, r := range list {
			if !slices.Contains(apart, r.Key) && !slices.ContainsFunc(skip, func(begin string) bool { return strings.HasPrefix(r.Key, begin) }) {
				into[r.Key] = r.Value
				keys = append(keys, r.Key)
			}
		}
	}
	collect(from.Rules, before)
	collect(to.Rules, after)
	slices.Sort(keys)
	var changes []*pb.RuleChange
	for _, key := range slices.Compact(keys) {
		if before[key] != after[key] {
			changes = append(changes, &pb.RuleChange{Key: key, From: before[key], To: after[key]})
		}
	}
	return changes
}

// levelsOf are the keys under which the level rules of each discipline begin.
var levelsOf = map[rules.Discipline][]string{
	rules.Singles: {"levels.spins.", "levels.steps."}, rules.Pairs: {"levels.pairs."}, rules.Dance: {"levels.dance."},
}

// ofOthers returns how the keys begin that are about other disciplines than d: their
// level rules, their categories and what the programs of these hold.
func ofOthers(season *rules.Season, d rules.Discipline) []string {
	if d == "" {
		return nil
	}
	var begins []string
	for _, other := range rules.Disciplines {
		if other != d {
			begins = append(begins, levelsOf[other]...)
		}
	}
	for key, category := range season.Categories {
		if category.Discipline == d {
			continue
		}
		begins = append(begins, "categories."+key+".", "program.categories."+key+".")
		if season.Content == nil {
			continue
		}
		for _, layout := range season.Content.Categories[key] {
			begins = append(begins, "program.layouts."+layout+".")
		}
	}
	return begins
}
