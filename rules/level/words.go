package level

import (
	"fmt"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

var variationWords = map[Variation]string{
	CamelForward:    "the camel variation with the shoulders parallel to the ice",
	CamelSideways:   "the camel variation with the shoulder line vertical",
	CamelUpward:     "the camel variation with the shoulder line beyond vertical",
	SitForward:      "the sit variation with the free leg forward",
	SitSideways:     "the sit variation with the free leg sideways",
	SitBehind:       "the sit variation with the free leg behind",
	UprightForward:  "the upright variation with the torso forward",
	UprightStraight: "the upright variation with the torso straight or sideways",
	Biellmann:       "the Biellmann",
	LaybackVaried:   "the layback variation",
	NonBasicVaried:  "the difficult non-basic position",
}

var positionWords = map[PositionKind]string{
	Camel: "camel", Sit: "sit", Upright: "upright", Layback: "layback", NonBasic: "non-basic position",
}

var placeNames = map[rules.SpinPlace]string{
	rules.InCamel:            "camel",
	rules.InSit:              "sit",
	rules.InUpright:          "upright",
	rules.InLayback:          "layback",
	rules.InBiellmann:        "Biellmann",
	rules.InUprightVariation: "a difficult variation of the upright",
	rules.InVariation:        "a difficult variation of a basic position",
	rules.InNonBasic:         "a difficult non-basic position of a spin combination",
}

func placeWords(places []rules.SpinPlace) string {
	names := make([]string, len(places))
	for i, p := range places {
		names[i] = placeNames[p]
	}
	return strings.Join(names, ", ")
}

func notReached(soon rules.Revolutions) string {
	return fmt.Sprintf("a basic position must be reached within %s; it was not. The try has used the feature up", turns(soon))
}

func usedUpWords(f rules.SpinFeature, rule *rules.FeatureRule) string {
	often := "once"
	if rule.Times > 1 {
		often = fmt.Sprintf("%d times", rule.Times)
	}
	what := "its first attempt uses it up, and that was before"
	if rule.Limit == rules.BySuccess {
		what = "it was done before"
	}
	if rule.Group != "" {
		what = "it shares this with another feature, and one of them was tried before"
	}
	name := inner(f)
	if f == rules.EightRevolutions {
		name = "holding " + count(rule.MinRevolutions) + " revolutions without change"
	}
	return fmt.Sprintf("%s counts %s in a program; %s", name, often, what)
}

// faultNotes say what was found wrong with a spin.
var faultNotes = map[rules.SpinFault]string{
	rules.FlyingWithoutJump:     "The flying entry was stepped over without a clear jump",
	rules.TwoPositions:          "The spin combination has only two basic positions held long enough",
	rules.OneBasicPosition:      "The spin combination has only one basic position held long enough",
	rules.NoBasicPosition:       "No basic position was held long enough",
	rules.NoBasicOnAFoot:        "On one foot no basic position was held long enough",
	rules.FewRevolutionsOnAFoot: "There were too few revolutions on one foot",
	rules.SecondChangeOfFoot:    "The foot was changed twice",
	rules.TwoSpins:              "A curve out of one part and a curve into the next make two spins",
	rules.SameCode:              "A spin with the same code was skated before",
	rules.SamePositionAsFlying:  "The flying spin and the spin in one position must have different positions",
}

var effectNotes = map[rules.FaultEffect]string{
	rules.FaultReduces:   "the value is reduced",
	rules.FaultLevelOne:  "the level is 1 at most",
	rules.FaultNoLevel:   "there is no level and no value",
	rules.FaultNoValue:   "the spin has no value and still fills its place in the program",
	rules.FaultFirstPart: "only the first part is called",
}

// faultReason is the reason shown for features that a fault makes worthless.
func faultReason(f rules.SpinFault) Reason {
	switch f {
	case rules.TwoPositions, rules.OneBasicPosition, rules.NoBasicPosition, rules.NoBasicOnAFoot:
		return MissingPosition
	case rules.FewRevolutionsOnAFoot:
		return TooFew
	}
	return ElementFault
}

func variationLimitWords(limit *rules.VariationLimit) string {
	text := fmt.Sprintf("%d difficult variations count in one spin", limit.Max)
	switch {
	case limit.OtherFoot || limit.OtherPosition:
		text += "; the second only on another foot when the foot is changed, and in another position in a spin combination"
	case limit.Pick == rules.PickBest:
		text += "; those that help the level most are taken"
	default:
		text += ", the first ones in the order skated that can count; one of them that another limit then keeps from counting takes its place all the same"
	}
	return text
}

func mandatoryWords(m *rules.MandatoryFeatures) string {
	names := make([]string, len(m.AnyOf))
	for i, f := range m.AnyOf {
		names[i] = inner(f)
	}
	return strings.Join(names, ", ")
}

// sentence begins a message with a capital and ends it with a full stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	s = strings.ToUpper(s[:1]) + s[1:]
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}
