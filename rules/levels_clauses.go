package rules

import "strings"

// inWords writes a key of a table as warnings show it: DIFFICULT_EXIT is "difficult
// exit".
func inWords(name string) string { return strings.ToLower(strings.ReplaceAll(name, "_", " ")) }

// visitClause takes a rule with its path below the levels file and what it is
// about, in words.
type visitClause func(path, about string, c *Clause)

// eachClause visits every rule.
func (r *LevelRules) eachClause(visit visitClause) {
	r.Spins.eachClause(visit)
	r.Steps.eachClause(visit)
	r.Pairs.eachClause(func(path, about string, c *Clause) { visit("pairs."+path, about+" in pair skating", c) })
	r.Dance.eachClause(func(path, about string, c *Clause) { visit("dance."+path, about+" in ice dance", c) })
}

func (s *SpinRules) eachClause(visit visitClause) {
	if s == nil {
		return
	}
	visit("spins.revolutions", "the revolutions that a spin needs", &s.Revolutions.Clause)
	visit("spins.levels", "how many features the level of a spin needs", &s.Levels.Clause)
	if s.Mandatory != nil {
		visit("spins.mandatory", "the set of features of which the highest level of a spin needs one", &s.Mandatory.Clause)
	}
	if s.PerFoot != nil {
		visit("spins.per_foot", "the limit of features on one foot", &s.PerFoot.Clause)
	}
	if s.Variations != nil {
		visit("spins.variations", "the limit of difficult variations in one spin", &s.Variations.Clause)
	}
	if s.UsedVariation != nil {
		visit("spins.used_variation", "what counts in a variation that was used before", &s.UsedVariation.Clause)
	}
	if s.Reduced != nil {
		visit("spins.reduced", "the sign of a reduced value", &s.Reduced.Clause)
	}
	if s.PositionsInCode != nil {
		visit("spins.positions_in_code", "the number of positions in the code", &s.PositionsInCode.Clause)
	}
	visit("spins.features", "the list of spin features", &s.List)
	for _, name := range SortedKeys(s.Instead) {
		if rule := s.Instead[SpinFeature(name)]; rule != nil {
			visit("spins.instead."+name, "what "+inWords(name)+" was in this season", &rule.Clause)
		}
	}
	for _, name := range SortedKeys(s.Features) {
		rule := s.Features[SpinFeature(name)]
		if rule == nil {
			continue
		}
		visit("spins.features."+name, "the spin feature "+inWords(name), &rule.Clause)
		for _, category := range SortedKeys(rule.AfterLaybackOf) {
			if of := rule.AfterLaybackOf[category]; of != nil {
				visit("spins.features."+name+".after_layback_of."+category, "the revolutions of layback that "+category+" needs", &of.Clause)
			}
		}
	}
	for _, name := range SortedKeys(s.Faults) {
		if rule := s.Faults[SpinFault(name)]; rule != nil {
			visit("spins.faults."+name, "what the fault "+inWords(name)+" does to a spin", &rule.Clause)
		}
	}
}

func (s *StepRules) eachClause(visit visitClause) {
	if s == nil {
		return
	}
	visit("steps.levels", "how many features the level of a step sequence needs", &s.Levels.Clause)
	visit("steps.variety", "how much variety of turns a level needs", &s.Variety.Clause)
	visit("steps.features", "the list of features of a step sequence", &s.List)
	visit("steps.codes", "the code of a step sequence", &s.Codes.Clause)
	for _, name := range SortedKeys(s.Features) {
		if rule := s.Features[StepFeature(name)]; rule != nil {
			visit("steps.features."+name, "the step sequence feature "+inWords(name), &rule.Clause)
		}
	}
	for _, name := range SortedKeys(s.Faults) {
		if rule := s.Faults[StepFault(name)]; rule != nil {
			visit("steps.faults."+name, "what the fault "+inWords(name)+" does to a step sequence", &rule.Clause)
		}
	}
}

func (p *PairRules) eachClause(visit visitClause) {
	if p == nil {
		return
	}
	p.Spins.eachClause(visit)
	p.Steps.eachClause(visit)
	for _, kind := range p.kinds() {
		kind.rules.eachClause(kind.key, kind.words, visit)
	}
}

func (e *PairElementRules) eachClause(key, words string, visit visitClause) {
	if e == nil {
		return
	}
	visit(key+".levels", "how many features the level of a "+words+" needs", &e.Levels.Clause)
	visit(key+".features", "the list of features of a "+words, &e.List)
	if e.Position != nil {
		visit(key+".position", "how long the position of a "+words+" is held", &e.Position.Clause)
	}
	if e.Reduced != nil {
		visit(key+".reduced", "the sign of a reduced value", &e.Reduced.Clause)
	}
	for _, name := range SortedKeys(e.Features) {
		if rule := e.Features[PairFeature(name)]; rule != nil {
			visit(key+".features."+name, "the feature "+inWords(name)+" of a "+words, &rule.Clause)
		}
	}
	for _, name := range SortedKeys(e.Faults) {
		if rule := e.Faults[SpinFault(name)]; rule != nil {
			visit(key+".faults."+name, "what the fault "+inWords(name)+" does to a "+words, &rule.Clause)
		}
	}
}

func (d *DanceRules) eachClause(visit visitClause) {
	if d == nil {
		return
	}
	if k := d.KeyPoints; k != nil {
		visit("key_points", "which level so many key points make", &k.Clause)
		if k.Incomplete != nil {
			visit("key_points.incomplete", "what too few steps of a pattern do", &k.Incomplete.Clause)
		}
	}
	if t := d.Twizzles; t != nil {
		visit("twizzles", "what the level of a set of twizzles needs", &t.Clause)
	}
}
