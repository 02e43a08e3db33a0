package level

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// feature is all that the engine knows of one feature of a spin. Whether a
// season has it, where it counts and how often is in the season's table.
type feature struct {
	name  rules.SpinFeature
	title string // in a list: "Change of edge"
	short string // the same on a phone: "edge"
	words string // at the beginning of a sentence: "A change of edge"
	word  string // of report, in a spin written as words
	ease  int    // 1 is usually added first: our own order for reading, not a rule

	// The keys of its rule in levels.yaml beside those that every feature knows,
	// and those of them that must be there.
	knows, needs []string

	kinds    func(*rules.FeatureRule) []rules.SpinKind // in which it can count; nil = all
	places   []rules.SpinPlace                         // where it is done, when the table names no places
	windmill bool                                      // can be done as a windmill

	stage stage
	// claim puts the feature forward where it was tried or is found: at the first
	// position of the spin or of the foot, at a position, or at the last one, as its
	// stage is. The rule is nil where the season does not have it. One that has a report
	// is asked only where that is.
	claim func(*collector, *rules.FeatureRule, *part)
	// report is what a panel reports in a position; other reports are found by
	// reported, which returns their path, or "".
	report   PositionFeature
	reported func(*Spin, moment) string

	// upright reports whether the feature is done in an upright, which then is a
	// position also where it ends a spin in another one. It is asked as claim is.
	upright func(*shape, *part, *rules.FeatureRule) bool

	// ways tries the changed spins that have the feature; reach says the same
	// without a spin.
	ways  func(*search)
	reach func(*rules.SpinRules, *rules.FeatureRule) string

	index int // among the features
}

// spinRules are a season's rules of spins, with those of its features where a call finds
// them at once.
type spinRules struct {
	*rules.SpinRules
	features [featureCount]*rules.FeatureRule // by the feature's index; nil = not in this season
}

func (r *spinRules) set(season *rules.SpinRules) {
	r.SpinRules = season
	for i, f := range features {
		r.features[i] = season.Features[f.name]
	}
}

// stage is when a feature is looked for.
type stage int

// A spin is looked through in the order skated.
const (
	atEntry stage = iota
	atChange
	inPosition
	atEnd
)

// stageWords name the stages in lists of what a panel reports.
var stageWords = [...]string{atEntry: "entry", atChange: "change", inPosition: "position", atEnd: "exit"}

// moment is a place in a spin: a foot, and a position on it.
type moment struct{ foot, index int }

const featureCount = 15

// The features in the order in which each stage looks for them, by stage, by
// ease and by name, and those that can make an upright a position. They are set by init
// because the features need them.
var (
	features   [featureCount]*feature
	byStage    [len(stageWords)][]*feature
	unreported [len(stageWords)][]*feature // of each stage, where a panel reports nothing
	byEase     []*feature
	byName     = map[rules.SpinFeature]*feature{}
	uprights   []*feature
)

func init() {
	features = [...]*feature{
		difficultFlyingEntry, difficultEntrance,
		changeOfFootByJump, bothDirections,
		jumpWithin, difficultChangeOfPosition, biellmannAfterLayback, difficultVariation, changeOfEdge,
		increaseOfSpeed, difficultBlade, eightRevolutions, laybackSideChange,
		allPositionsOnSecondFoot, difficultExit,
	}
	for i, f := range features {
		f.index = i
		byName[f.name] = f
		byStage[f.stage] = append(byStage[f.stage], f)
		if f.report == "" {
			unreported[f.stage] = append(unreported[f.stage], f)
		}
		if f.upright != nil {
			uprights = append(uprights, f)
		}
	}
	for _, w := range PositionWords() {
		positionFeatures = append(positionFeatures, w.Report)
	}
	byEase = slices.SortedFunc(slices.Values(features[:]), func(a, b *feature) int { return cmp.Compare(a.ease, b.ease) })
}

// begins names a feature at the beginning of a sentence.
func begins(f rules.SpinFeature) string { return byName[f].words }

// inner names a feature within a sentence.
func inner(f rules.SpinFeature) string {
	text := begins(f)
	return strings.ToLower(text[:1]) + text[1:]
}

// seen returns the path of what a panel reported for the feature at a moment of
// its stage, or "".
func (f *feature) seen(s *Spin, m moment) string {
	switch {
	case f.reported != nil:
		return f.reported(s, m)
	case f.report != "" && s.Feet[m.foot].Positions[m.index].has(f.report):
		return at(m.foot, m.index)
	}
	return ""
}

// pathIf is the path of a report that is there.
func pathIf(there bool, path string) string {
	if there {
		return path
	}
	return ""
}

// heldUpright reports whether a position is one of the rule's places and held.
func heldUpright(sh *shape, p *part, rule *rules.FeatureRule) bool {
	return sh.heldIn(p, rule.In) >= sh.least
}

// withChange are the kinds of spin that change the foot.
func withChange(*rules.FeatureRule) []rules.SpinKind {
	return []rules.SpinKind{rules.OnePositionChange, rules.CombinationChange}
}

// combinations are the kinds of spin with more than one position.
func combinations(*rules.FeatureRule) []rules.SpinKind {
	return []rules.SpinKind{rules.Combination, rules.CombinationChange}
}

// SpinFeatureKeys returns the keys of a feature's rule in levels.yaml beside
// those that every feature knows (limit, times, wrong_place, group, apart_from),
// and those of them that must be there. ok is false for an unknown feature.
func SpinFeatureKeys(f rules.SpinFeature) (knows, needs []string, ok bool) {
	known := byName[f]
	if known == nil {
		return nil, nil, false
	}
	return slices.Concat(known.knows, known.needs), slices.Clone(known.needs), true
}

// Word is what a panel reports in a position, in a spin written as words.
type Word struct {
	Word   string
	Title  string // "Change of edge"
	Report PositionFeature
}

// PositionWords lists the words for what a panel reports in a position, over
// all seasons.
func PositionWords() []Word {
	var list []Word
	for _, f := range features {
		if f.report != "" {
			list = append(list, Word{f.word, f.title, f.report})
		}
	}
	return append(list, Word{"windmill", "Windmill", HasWindmill}) // no feature of its own
}

// Info is what people are shown of a feature that a season's table has.
type Info struct {
	Feature   string
	Title     string   // "Change of edge"
	Short     string   // for a small screen: "edge"
	Kinds     []string // of element: of spin as rules.SpinKind names them, or one of the Kind constants
	Positions []string // in which it counts, as rules.SpinPlace names them; none = not bound to a position
	Reported  string   // where a panel reports it: entry, change, position, variation, exit; "" = found by the engine
	Reach     string   // how to reach it, in words
}

// KindSteps is the kind of a feature of a step sequence in Info.
const KindSteps = "STEP_SEQUENCE"

// Features lists the features of spins and step sequences of single skating
// that a season's table has, in the order of the published lists.
func Features(r *rules.LevelRules) []Info {
	var list []Info
	if r == nil {
		return nil
	}
	if r.Spins != nil {
		for _, name := range rules.SpinFeatures {
			if rule := r.Spins.Features[name]; rule != nil {
				list = append(list, byName[name].info(r.Spins, rule))
			}
		}
	}
	if r.Steps != nil {
		list = append(list, stepInfos(r.Steps)...)
	}
	return list
}

func (f *feature) info(r *rules.SpinRules, rule *rules.FeatureRule) Info {
	info := Info{
		Feature: public(r, f.name), Title: f.title, Short: f.short,
		Kinds: texts(rules.SpinKinds), Positions: texts(f.places), Reach: f.reach(r, rule),
	}
	if f.kinds != nil {
		info.Kinds = texts(f.kinds(rule))
	}
	if len(rule.In) > 0 {
		info.Positions = texts(rule.In)
	}
	switch {
	case f.report == "" && f.stage == inPosition && f.reported != nil:
		info.Reported = "variation"
	case f.report != "" || f.reported != nil:
		info.Reported = stageWords[f.stage]
	}
	return info
}

func texts[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, word := range list {
		out[i] = string(word)
	}
	return out
}

// inPlaces ends an advice with the places that a rule names.
func inPlaces(format string, rule *rules.FeatureRule, args ...any) string {
	return fmt.Sprintf(format, args...) + ", in one of: " + placeWords(rule.In) + "."
}
