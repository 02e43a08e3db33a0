package level

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
)

// danceCode reads a code without level and signs, or reports it.
func (c checker) danceCode(at, code, example string) (*element.Part, bool) {
	if code == "" {
		c.add(at, rules.ReasonFieldRequired, "is empty: give the code without level, such as %s", example)
		return nil, false
	}
	// The code is read with a level, since a name may end in B as the level does (1MB).
	e, err := element.Parse(code + "1")
	if err != nil {
		c.add(at, rules.ReasonCodeInvalid, "%s", strings.Replace(err.Error(), code+"1", code, 1))
		return nil, false
	}
	p := &e.Parts()[0]
	last := code[len(code)-1]
	if len(e.Parts()) > 1 || p.Name() != code || last >= '0' && last <= '9' {
		c.add(at, rules.ReasonCodeInvalid, "is %s; want the code of one element without level, key points and signs, such as %s", rules.Quote(code), example)
		return nil, false
	}
	return p, true
}

func (c checker) pattern(at string, d *PatternDance, r *rules.KeyPointRules) {
	p, ok := c.danceCode(at+".code", d.Code, "1MB")
	switch {
	case !ok:
	case slices.Contains(r.Also, d.Code):
	case p.Kind != element.Pattern:
		c.add(at+".code", rules.ReasonCodeInvalid, "is %s, which is no section of a pattern dance; those are named by number, such as 1MB", rules.Quote(d.Code))
	case len(r.Only) > 0 && !slices.Contains(r.Only, d.Code):
		c.add(at+".code", rules.ReasonRulesNotAvailable, "the key points of %s are not known in this season; known are those of: %s", rules.Quote(d.Code), rules.AllowList(r.Only))
	}
	if len(d.KeyPoints) != r.Points() {
		c.add(at+".keyPoints", rules.ReasonFieldInvalid, "has %d key points; in this season an element has %s", len(d.KeyPoints), rules.Allow("%d", r.Points()))
		return
	}
	for i, k := range d.KeyPoints {
		word(c, fmt.Sprintf("%s.keyPoints[%d]", at, i), rules.ReasonFieldInvalid, k, KeyPointMet, KeyPointNotMet, KeyPointTiming)
	}
}

// danceKinds says what a dance element is called where its rules are missing.
var danceKinds = map[element.Kind]struct {
	words string
	kind  rules.LevelledKind
}{
	element.Twizzle: {"sets of twizzles", rules.KindTwizzles},
	element.Lift:    {"dance lifts", rules.KindDanceLift},
	element.Spin:    {"dance spins", rules.KindDanceSpin},
	element.Step:    {"step sequences of ice dance", rules.KindDanceStepSequence},
}

func (c checker) dance(at string, d *DanceElement, t *tables) {
	p, ok := c.danceCode(at+".code", d.Code, "SqTw")
	if !ok {
		return
	}
	r := t.dance.Twizzles
	if r == nil || !slices.Contains(r.Codes, d.Code) {
		missing, known := danceKinds[p.Kind]
		switch {
		case p.Kind == element.Choreo:
			c.add(at+".code", rules.ReasonFieldInvalid, "is %s: a choreographic element is confirmed or not and has no level", rules.Quote(d.Code))
		case p.Kind == element.Pattern:
			c.add(at+".code", rules.ReasonFieldInvalid, "is %s: give a section of a pattern dance as patternDance", rules.Quote(d.Code))
		case !known:
			c.add(at+".code", rules.ReasonCodeInvalid, "is %s, which is no element of ice dance that has a level", rules.Quote(d.Code))
		case r != nil && p.Kind == element.Twizzle:
			c.add(at+".code", rules.ReasonRulesNotAvailable, "the levels of %s are not known in this season; known are those of: %s", rules.Quote(d.Code), rules.AllowList(r.Codes))
		default:
			c.add(at+".code", rules.ReasonRulesNotAvailable, "%s", t.unknown(missing.words, missing.kind))
		}
		return
	}
	for _, part := range []struct {
		key string
		of  *DancePart
	}{{"woman", d.Woman}, {"man", d.Man}} {
		at := at + "." + part.key
		if part.of == nil {
			c.add(at, rules.ReasonFieldRequired, "is missing: each partner is judged alone")
			continue
		}
		c.revolutions(at+".rotations", part.of.Rotations)
		if n := part.of.AdditionalFeatures; n < 0 || n > maxPositions {
			c.add(at+".additionalFeatures", rules.ReasonFieldInvalid, "is %d; allowed are %s", n, rules.Allow("0 to %d", maxPositions))
		}
	}
}
