package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// variety is how much variety of turns a sequence shows.
type variety struct {
	turns    int // countable turns and steps
	bothWays int // types done in both directions
	grade    int // index of the grade reached, or -1
	ceiling  rules.Level
}

func (s *StepSequence) shows(sign rules.StepSign) bool {
	switch sign {
	case rules.ShownRotations:
		return s.RotationsBothDirections
	case rules.ShownBodyMovement:
		return s.BodyMovement
	case rules.ShownUpperBody:
		return s.UpperBody
	case rules.ShownOneFoot:
		return s.OneFootSection
	case rules.ShownCombinations:
		return s.TurnCombinationLeft && s.TurnCombinationRight
	case rules.ShownQuickCombination:
		return s.QuickTurnCombinations
	case rules.ShownPositionChanges:
		return s.PositionChanges
	case rules.ShownHold:
		return s.NotSeparating
	}
	return false
}

// countVariety counts the turns. Where the partners of a couple show different
// ones, the one with less variety decides.
func countVariety(r *rules.StepRules, s *StepSequence) variety {
	v := varietyOf(r, s.Turns)
	if len(s.PartnerTurns) == 0 {
		return v
	}
	if other := varietyOf(r, s.PartnerTurns); other.grade < v.grade || other.grade == v.grade && other.turns < v.turns {
		return other
	}
	return v
}

func varietyOf(r *rules.StepRules, turns []Turns) variety {
	v := variety{grade: -1, ceiling: r.Levels.Floor}
	for _, t := range turns {
		if !slices.Contains(r.Variety.Types, t.Type) {
			continue
		}
		v.turns += min(t.Clockwise+t.Counterclockwise, r.Variety.MaxPerType)
		if t.Clockwise > 0 && t.Counterclockwise > 0 {
			v.bothWays++
		}
	}
	for i, grade := range r.Variety.Steps {
		if v.turns >= grade.Turns && v.bothWays >= grade.BothDirections {
			v.grade, v.ceiling = i, grade.Level
		}
	}
	return v
}

// callSteps calls a step sequence: the number of features makes the level, and
// the variety of turns, itself the first feature, is its ceiling.
func callSteps(r *rules.StepRules, s *StepSequence, highest rules.Level, limit *rules.Clause) (Called, clauses) {
	var warn clauses
	if s.NotRecognisable {
		if call, is := notRecognised(r, s, &warn); is {
			return call, warn
		}
	}
	warn.rest(&r.Levels.Clause)
	warn.rest(&r.Variety.Clause)
	v := countVariety(r, s)
	spread := stepFault(r, rules.BadlySpread, s.BadlySpread, &warn) != rules.FaultFloor
	if !spread {
		v.grade, v.ceiling = -1, r.Levels.Floor
	}
	call := Called{Features: []Feature{{Feature: string(rules.TurnVarietyFeature), At: "turns", Rule: r.Variety.ID, Counted: v.grade >= 0}}}
	features := 0
	first := &call.Features[0]
	if v.grade >= 0 {
		features++
		first.Message = fmt.Sprintf("%d difficult turns and steps count: %s, which allows level %s at most.", v.turns, r.Variety.Steps[v.grade].Name, v.ceiling)
	} else {
		first.Reason = NoVariety
		first.Message = fmt.Sprintf("%d difficult turns and steps count; %d are needed. Without them no other feature raises the level.", v.turns, r.Variety.Steps[0].Turns)
	}
	few := "Too few difficult turns and steps: no feature raises the level."
	if !spread {
		first.Rule = r.Faults[rules.BadlySpread].ID
		first.Message = "The difficult turns and steps are badly spread, so there is no variety throughout the pattern."
		few = "The difficult turns and steps are badly spread: no feature raises the level."
	}
	for i := range stepFeatures {
		f, named := stepFeatures[i].called(r, s)
		if !named {
			continue
		}
		if rule := r.Features[stepFeatures[i].name]; rule != nil {
			warn.rest(&rule.Clause)
		}
		switch {
		case !f.Counted:
		case v.grade < 0:
			f.Counted, f.Reason, f.Rule = false, NoVariety, r.Variety.ID
			f.Message = few
		default:
			features++
		}
		call.Features = append(call.Features, f)
	}
	level := min(r.Levels.Of(features), v.ceiling, highest)
	trim(&call, r, level, v, features, highest, limit)
	call.Level = level.String()
	warn.rest(&r.Codes.Clause)
	if code := stepCode(r, s); code != "" {
		call.Code = code + call.Level
	} else {
		call.Notes = append(call.Notes, "This season's code names the pattern of the step sequence: say which it was to get the code.")
	}
	if level < highest {
		call.ToNextLevel = nextSteps(r, s, level)
		if !spread {
			call.ToNextLevel.Options = []Option{{
				Feature: string(rules.TurnVarietyFeature),
				Message: fmt.Sprintf("Spread the difficult turns and steps over the whole pattern, at least %d of them.", r.Variety.Steps[0].Turns),
			}}
		}
	} else if level == highest && highest < rules.MaxLevel && min(r.Levels.Of(features), v.ceiling) > highest {
		warn.rest(limit)
		call.Notes = append(call.Notes, capNote(highest))
	}
	return call, warn
}

// stepFault returns what a reported fault does, or that it does nothing.
func stepFault(r *rules.StepRules, fault rules.StepFault, reported bool, warn *clauses) rules.FaultEffect {
	rule := r.Faults[fault]
	if !reported || rule == nil {
		return rules.FaultNone
	}
	warn.rest(&rule.Clause)
	return rule.Effect
}

// notRecognised calls a sequence whose pattern cannot be seen, where the
// season takes its level and value.
func notRecognised(r *rules.StepRules, s *StepSequence, warn *clauses) (Called, bool) {
	if stepFault(r, rules.NotRecognisable, true, warn) != rules.FaultNoLevel {
		return Called{}, false
	}
	return Called{
		Code: stepCode(r, s), NoValue: true,
		Notes: []string{"The sequence does not use the full ice or its pattern cannot be recognised: there is no level and no value."},
	}, true
}

// called says what became of a feature, and whether anything was reported that
// makes it worth naming.
func (known *stepFeature) called(r *rules.StepRules, s *StepSequence) (Feature, bool) {
	f := Feature{Feature: string(known.name), Rule: r.List.ID}
	rule := r.Features[known.name]
	if rule != nil {
		f.Rule = rule.ID
		if slices.ContainsFunc(rule.ShownBy, s.shows) {
			f.Counted = true
			return f, true
		}
	}
	if known.name == rules.TurnCombinations && s.TurnCombinationLeft != s.TurnCombinationRight {
		f.Reason, f.Message = Incomplete, "A combination on each foot is needed; only one foot shows one."
		if rule != nil {
			f.Message = sentence("Only one combination was shown; needed are " + rule.Words)
		}
		return f, true
	}
	reported := slices.ContainsFunc(known.reports, func(sign rules.StepSign) bool {
		return s.shows(sign) && !usedByAny(r, sign)
	})
	f.Reason, f.Message = NotThisSeason, known.title+": not a feature in this season."
	return f, reported
}

// usedByAny reports whether a feature of the season is shown by a report.
func usedByAny(r *rules.StepRules, sign rules.StepSign) bool {
	for _, rule := range r.Features {
		if slices.Contains(rule.ShownBy, sign) {
			return true
		}
	}
	return false
}

// trim marks the features beyond the level that was reached: the variety, the
// category or the highest level of all keeps them from counting.
func trim(call *Called, r *rules.StepRules, level rules.Level, v variety, features int, highest rules.Level, limit *rules.Clause) {
	if v.grade < 0 {
		return
	}
	most := max(1, r.Levels.Needs[max(level, 1)-1])
	reason, rule := NoVariety, r.Variety.ID
	message := fmt.Sprintf("The variety of turns and steps allows level %s at most.", v.ceiling)
	switch {
	case level == highest && v.ceiling > highest:
		reason, rule, message = LevelCap, limit.ID, capNote(highest)
	case level >= r.Levels.Of(features):
		reason, rule = Surplus, r.Levels.ID
		message = fmt.Sprintf("%d features already make the highest level.", most)
	}
	counted := 0
	for i := range call.Features {
		f := &call.Features[i]
		if !f.Counted {
			continue
		}
		if counted++; counted > most {
			f.Counted, f.Reason, f.Rule, f.Message = false, reason, rule, message
		}
	}
}

func stepCode(r *rules.StepRules, s *StepSequence) string {
	if code := r.Codes.Pattern[s.Pattern]; code != "" {
		return code
	}
	return r.Codes.Pattern[rules.AnyPattern]
}

// nextSteps finds what would bring a step sequence to the next level: a
// further feature, more variety, or, when one alone is not enough, both.
func nextSteps(r *rules.StepRules, s *StepSequence, now rules.Level) *Next {
	next := &Next{Level: (now + 1).String()}
	v := countVariety(r, s)
	shown := 0
	var missing []Option
	for i := range stepFeatures {
		name := stepFeatures[i].name
		rule := r.Features[name]
		switch {
		case rule == nil:
		case slices.ContainsFunc(rule.ShownBy, s.shows):
			shown++
		default:
			missing = append(missing, Option{Feature: string(name), Message: sentence("Add " + rule.Words)})
		}
	}
	grade, ok := gradeFor(r, now+1)
	if !ok {
		return next
	}
	if v.ceiling <= now || v.grade < 0 {
		next.Options = append(next.Options, Option{Feature: string(rules.TurnVarietyFeature), Message: varietyMessage(r, v, grade)})
	}
	enough := func(features int) bool { return r.Levels.Of(features) > now }
	switch {
	case len(next.Options) > 0 && !enough(shown+1):
		next.Options[0].Message += " One further feature is needed as well."
	case len(next.Options) == 0:
		next.Options = missing
		if !enough(shown + 2) {
			for i := range next.Options {
				next.Options[i].Message += " One feature more is not yet enough for the next level."
			}
		}
	}
	return next
}

// gradeFor finds the grade of variety that a level needs.
func gradeFor(r *rules.StepRules, level rules.Level) (rules.VarietyStep, bool) {
	for _, grade := range r.Variety.Steps {
		if grade.Level >= level {
			return grade, true
		}
	}
	return rules.VarietyStep{}, false
}

func varietyMessage(r *rules.StepRules, v variety, grade rules.VarietyStep) string {
	text := fmt.Sprintf("Show %d difficult turns and steps (now %d), no type counted more than %d times", grade.Turns, v.turns, r.Variety.MaxPerType)
	if grade.BothDirections > v.bothWays {
		text += fmt.Sprintf(", and %d types in both directions (now %d)", grade.BothDirections, v.bothWays)
	}
	return text + "."
}

// varietyWords say what a grade of variety asks for.
func varietyWords(r *rules.StepRules, grade rules.VarietyStep) string {
	text := fmt.Sprintf("for level %s show %d difficult turns and steps, no type counted more than %d times", grade.Level, grade.Turns, r.Variety.MaxPerType)
	if grade.BothDirections > 0 {
		text += fmt.Sprintf(", and %d types in both directions", grade.BothDirections)
	}
	return text
}
