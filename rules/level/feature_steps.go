package level

import "github.com/rinktally/rinktally/rules"

// stepFeature is all that the engine knows of one feature of a step sequence.
// What shows it and what the skater must do is in the season's table.
type stepFeature struct {
	name    rules.StepFeature
	title   string           // in a list, and at the beginning of a sentence
	short   string           // the same on a phone
	reports []rules.StepSign // what a panel may have reported with it in mind, in whichever season
}

// turnVariety is the first feature; it is found from the turns.
var turnVariety = stepFeature{rules.TurnVarietyFeature, "Variety of difficult turns and steps", "variety", nil}

// stepFeatures are the others in the order that answers name them.
var stepFeatures = []stepFeature{
	{rules.RotationsBothWays, "Full-body rotations in both directions", "rotations", []rules.StepSign{rules.ShownRotations}},
	{rules.BodyMovement, "Body movements", "body", []rules.StepSign{rules.ShownBodyMovement}},
	{rules.UpperBody, "Use of the upper body", "upper body", []rules.StepSign{rules.ShownUpperBody}},
	{rules.OneFootSection, "A part on one foot only", "one foot", []rules.StepSign{rules.ShownOneFoot}},
	{rules.PositionsOrHold, "Changes of position, or not separating", "positions", []rules.StepSign{rules.ShownPositionChanges, rules.ShownHold}},
	{rules.TurnCombinations, "Combinations of difficult turns", "combinations", []rules.StepSign{rules.ShownCombinations, rules.ShownQuickCombination}},
}

// stepInfos lists the features of step sequences that a season has.
func stepInfos(r *rules.StepRules) []Info {
	info := func(f *stepFeature, reach string) Info {
		return Info{Feature: string(f.name), Title: f.title, Short: f.short, Kinds: []string{KindSteps}, Reach: reach}
	}
	highest := r.Variety.Steps[len(r.Variety.Steps)-1]
	list := []Info{info(&turnVariety, sentence(varietyWords(r, highest)))}
	for i := range stepFeatures {
		if rule := r.Features[stepFeatures[i].name]; rule != nil {
			list = append(list, info(&stepFeatures[i], sentence("show "+rule.Words)))
		}
	}
	return list
}
