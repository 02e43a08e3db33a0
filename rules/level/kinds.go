package level

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// member is one kind of levelled element in a request.
type member struct {
	key         string // of the request
	words       string // in the plural
	disciplines []rules.Discipline
}

var (
	spinMember    = &member{"spin", "spins", []rules.Discipline{rules.Singles, rules.Pairs}}
	stepsMember   = &member{"stepSequence", "step sequences", []rules.Discipline{rules.Singles, rules.Pairs}}
	liftMember    = &member{"pairLift", "pair lifts", []rules.Discipline{rules.Pairs}}
	twistMember   = &member{"twistLift", "twist lifts", []rules.Discipline{rules.Pairs}}
	spiralMember  = &member{"deathSpiral", "death spirals", []rules.Discipline{rules.Pairs}}
	pairMember    = &member{"pairSpin", "pair spins", []rules.Discipline{rules.Pairs}}
	patternMember = &member{"patternDance", "pattern dances", []rules.Discipline{rules.Dance}}
	danceMember   = &member{"danceElement", "elements of ice dance", []rules.Discipline{rules.Dance}}

	members = []*member{spinMember, stepsMember, liftMember, twistMember, spiralMember, pairMember, patternMember, danceMember}
)

var disciplineWords = map[rules.Discipline]string{rules.Singles: "single skating", rules.Pairs: "pair skating", rules.Dance: "ice dance"}

// membersOf names the kinds of element that a discipline has, as the request
// writes them.
func membersOf(d rules.Discipline) string {
	var keys []string
	for _, m := range members {
		if slices.Contains(m.disciplines, d) {
			keys = append(keys, m.key)
		}
	}
	if len(keys) == 2 {
		return strings.Join(keys, " or ")
	}
	return "one of " + strings.Join(keys, ", ")
}

// set lists the members of an element that are set.
func (e *Element) set() []*member {
	var list []*member
	for _, m := range []struct {
		*member
		set bool
	}{
		{spinMember, e.Spin != nil}, {stepsMember, e.Steps != nil}, {liftMember, e.PairLift != nil},
		{twistMember, e.TwistLift != nil}, {spiralMember, e.DeathSpiral != nil}, {pairMember, e.PairSpin != nil},
		{patternMember, e.Pattern != nil}, {danceMember, e.Dance != nil},
	} {
		if m.set {
			list = append(list, m.member)
		}
	}
	return list
}

// DisciplineOf returns the first discipline that has all the kinds of element, for
// requests whose category is not known.
func DisciplineOf(elements []Element) rules.Discipline {
	for _, d := range rules.Disciplines {
		if !slices.ContainsFunc(elements, func(e Element) bool {
			return slices.ContainsFunc(e.set(), func(m *member) bool { return !slices.Contains(m.disciplines, d) })
		}) {
			return d
		}
	}
	return rules.Singles
}

// discipline is the program's discipline: single skating when none is named.
func (p *Program) discipline() rules.Discipline {
	if p.Discipline == "" {
		return rules.Singles
	}
	return p.Discipline
}

// tables are the level rules of one discipline. What is not known is nil.
type tables struct {
	of         *rules.LevelRules
	discipline rules.Discipline
	spins      *rules.SpinRules
	steps      *rules.StepRules
	pairs      rules.PairRules
	dance      rules.DanceRules
}

func tablesOf(r *rules.LevelRules, d rules.Discipline) tables {
	t := tables{of: r, discipline: d}
	switch {
	case r == nil:
	case d == rules.Singles:
		t.spins, t.steps = r.Spins, r.Steps
	case d == rules.Pairs && r.Pairs != nil:
		t.pairs = *r.Pairs
		t.spins, t.steps = r.Pairs.Spins, r.Pairs.Steps
	case d == rules.Dance && r.Dance != nil:
		t.dance = *r.Dance
	}
	return t
}

// unknown says that the season has no rules for a kind of element, and why.
func (t *tables) unknown(words string, kind rules.LevelledKind) string {
	text := "the table of this season has no level rules for " + words
	if why := t.of.Not(kind); why != "" {
		text += ": " + why
	}
	return text
}

var numberWords = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}

// turns writes a number of revolutions: "1 revolution", "2.5 revolutions".
func turns(r rules.Revolutions) string {
	if r == rules.Revolution {
		return "1 revolution"
	}
	return r.String() + " revolutions"
}

// count writes whole revolutions as a word, and others as a number.
func count(r rules.Revolutions) string {
	if n := int(r / rules.Revolution); r%rules.Revolution == 0 && n >= 0 && n < len(numberWords) {
		return numberWords[n]
	}
	return fmt.Sprint(r)
}
