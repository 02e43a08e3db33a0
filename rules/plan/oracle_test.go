package plan_test

import (
	"strconv"
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
)

// The oracle is a second reading of the content rules of single skating, written from
// their text and not from the engine: what a layout is credited, and whether anything in
// it is lost. It takes base values and points of grades from the tables of values alone.

// book is what the rules of one era say of a segment.
type book struct {
	short bool
	women bool
	jumps int // jump elements
	// From 2016-17 on only the jump that is too many has no value, before that its whole
	// element; of a combination too many the first jump counts as repeated.
	jumpOnly bool
	// To 2013-14 the second of two equal triples alone is a sequence, and takes the place
	// of one; from 2014-15 on it is marked as repeated.
	soloSequence bool
	doublesTwice bool // from 2014-15 on a double jump counts twice; before that only 2A
	oneQuad      bool // from 2018-19 on one quadruple jump may be repeated
	called       bool // from 2018-19 on the lesser of two doubles is found by its called value
	counts       bool // to 2013-14 a wrong jump of a short program counts all the same
	falls        []rules.Points
}

// bookOf reads an era's rules.
func bookOf(season, category, segment string) book {
	b := book{
		short: segment == "short-program", women: strings.HasSuffix(category, "women"),
		jumpOnly: season >= "2016", soloSequence: season < "2014", doublesTwice: season >= "2014",
		oneQuad: season >= "2018", called: season >= "2018", counts: season < "2014",
		falls: []rules.Points{100},
	}
	b.jumps = 8
	if b.women || season >= "2018" {
		b.jumps = 7
	}
	if b.short {
		b.jumps = 3
	}
	if season >= "2016" && strings.HasPrefix(category, "senior") {
		b.falls = []rules.Points{100, 100, 200, 200, 300}
	}
	return b
}

// deducted is what so many falls cost.
func (b *book) deducted(falls int) rules.Points {
	var sum rules.Points
	for i := range falls {
		sum += b.falls[min(i, len(b.falls)-1)]
	}
	return sum
}

// turned is one jump of an element.
type turned struct {
	turns int
	name  string
	text  string
}

func (j turned) key() string { return strconv.Itoa(j.turns) + j.name }

// skate is a jump element as it came.
type skate struct {
	code     string
	jumps    []turned
	sequence bool
	combo    bool // marked as a combination whose second jump is missing
}

func readSkate(code string) skate {
	s := skate{code: code}
	for _, word := range strings.Split(code, "+") {
		switch word {
		case "SEQ":
			s.sequence = true
			continue
		case "COMBO":
			s.combo = true
			continue
		}
		text := strings.TrimRight(word, "<qe!")
		j := turned{text: word, name: text}
		if text[0] >= '1' && text[0] <= '5' {
			j.turns, j.name = int(text[0]-'0'), text[1:]
		}
		s.jumps = append(s.jumps, j)
	}
	return s
}

func (s *skate) combination() bool { return len(s.jumps) > 1 || s.sequence || s.combo }

// verdict is what an element is credited.
type verdict struct {
	void [element.MaxParts]bool
	mark string
}

func (v *verdict) all(n int) {
	for i := range n {
		v.void[i] = true
	}
}

// judge credits the jump elements of a program, and says whether anything is lost.
func (b *book) judge(program []skate) (verdicts []verdict, lost bool) {
	if b.short {
		return b.judgeShort(program)
	}
	return b.judgeFree(program)
}

func (b *book) judgeFree(program []skate) (verdicts []verdict, lost bool) {
	verdicts = make([]verdict, len(program))
	times, alone, repeated := map[string]int{}, map[string]bool{}, map[string]bool{}
	combinations, threes, quads, axel := 0, 0, 0, false
	for i := range program {
		s, v := &program[i], &verdicts[i]
		n := len(s.jumps)
		if i >= b.jumps {
			v.all(n)
			lost = true
			continue
		}
		for _, j := range s.jumps {
			axel = axel || j.name == "A"
		}
		// A triple or quadruple alone for the second time.
		first := s.jumps[0]
		if !s.combination() && first.turns >= 3 && times[first.key()] == 1 && alone[first.key()] {
			v.mark = "+REP"
			if b.soloSequence {
				v.mark = "+SEQ"
			}
		}
		// At most three combinations and sequences, one of them of three jumps.
		joined := s.combination() || v.mark == "+SEQ"
		whole := false
		if joined {
			if combinations++; combinations > 3 {
				lost = true
				if b.jumpOnly {
					v.mark = "+REP"
					for k := 1; k < n; k++ {
						v.void[k] = true
					}
				}
				if !b.jumpOnly || n == 1 {
					v.mark = strings.TrimPrefix(v.mark, "+REP")
					whole = true
				}
			}
		}
		if whole {
			v.all(n)
		}
		if n == 3 && !v.void[2] {
			if threes++; threes > 1 {
				lost = true
				v.void[2] = true
				if !b.jumpOnly {
					v.all(n)
				}
			}
		}
		// Repetition.
		was := map[string]int{}
		newly := map[string]bool{}
		bad := false
		for k, j := range s.jumps {
			if j.name == "Eu" || j.turns == 0 {
				continue
			}
			key := j.key()
			limited := j.turns >= 3 || key == "2A" || b.doublesTwice && j.turns == 2
			tooMany := !v.void[k] && limited && times[key] >= 2
			if !v.void[k] && j.turns >= 3 && times[key] == 1 && !tooMany {
				switch {
				case len(repeated) >= 2, b.oneQuad && j.turns >= 4 && quads >= 1:
					tooMany = true
				default:
					repeated[key], newly[key] = true, true
					if j.turns >= 4 {
						quads++
					}
				}
			}
			if tooMany {
				bad, lost = true, true
				v.void[k] = true
				continue
			}
			times[key]++
			was[key]++
			if times[key] == 1 {
				alone[key] = !joined
			}
		}
		if bad && !b.jumpOnly { // the element is as if it had not been
			v.all(n)
			for key, n := range was {
				times[key] -= n
			}
			for key := range newly {
				delete(repeated, key)
				if key[0] >= '4' {
					quads--
				}
			}
		}
	}
	if n := len(program); n >= b.jumps && n > 0 && !axel {
		verdicts[min(n, b.jumps)-1].all(element.MaxParts)
		lost = true
	}
	return verdicts, lost
}

func (b *book) judgeShort(program []skate) (verdicts []verdict, lost bool) {
	verdicts = make([]verdict, len(program))
	comes := false
	for i := range program[:min(len(program), b.jumps)] {
		comes = comes || program[i].combination()
	}
	most := 4
	if b.women {
		most = 3
	}
	axel, solo, combination := false, false, false
	earlier := map[string]bool{}
	for i := range program {
		s, v := &program[i], &verdicts[i]
		n := len(s.jumps)
		first := s.jumps[0]
		right := true // or it has no value
		switch {
		case i >= b.jumps:
			v.all(n)
			lost = true
			continue
		case s.combination() && !combination:
			combination = true
			lost = b.combination(s, v, most) || lost
		case s.combination():
			right, solo = false, true
		case first.name == "A" && !axel:
			axel = true
			right = first.turns == 2 || first.turns == 3 || b.counts
		case !solo:
			solo = true
			right = first.turns >= 3 && first.turns <= most || b.counts
		case !combination && !comes:
			combination = true
			v.mark = "+COMBO"
			lost = b.combination(s, v, most) || lost
		default:
			right, axel = !axel && b.counts, true
		}
		if !right {
			v.all(n)
			lost = true
		}
		again := false
		for k, j := range s.jumps {
			if j.turns > 0 && !v.void[k] && earlier[j.key()] {
				v.void[k] = true
				again, lost = true, true
			}
		}
		if again && b.counts {
			v.all(n) // to 2013-14 the whole element
		}
		for _, j := range s.jumps {
			if j.turns > 0 {
				earlier[j.key()] = true
			}
		}
	}
	return verdicts, lost
}

// worthOf returns the base value by which the lesser of two jumps is found.
var worthOf func(code string) rules.Points

// useValues takes base values from a season.
func useValues(season *rules.Season) {
	worthOf = func(code string) rules.Points {
		row, _ := season.Table("singles").Find(code)
		if row == nil {
			return 0
		}
		return row.Base
	}
}

// combination judges the combination of a short program: two jumps, doubles to
// quadruples (women: triples), of which one may be a double.
func (b *book) combination(s *skate, v *verdict, most int) (lost bool) {
	if b.counts {
		return false
	}
	doubles, lesser := 0, -1
	for k, j := range s.jumps {
		switch {
		case k >= 2, j.turns > 0 && (j.turns < 2 || j.turns > most):
			v.void[k], lost = true, true
		case j.turns <= 2:
			code := j.key()
			if b.called {
				code = j.text
			}
			doubles++
			if lesser < 0 || worthOf(code) <= worthOf(s.jumps[lesser].text) {
				lesser = k
			}
		}
	}
	if doubles > 1 {
		v.void[lesser], lost = true, true
	}
	return lost
}

// scorer finds what a credited element scores, from the tables of values.
type scorer struct {
	ctx   value.Context
	known map[string]rules.Points
}

// score is what an element scores: its base value, with the bonus of the second half or
// not, and the points of a mean grade on the line between those of the whole grades.
func (s *scorer) score(code string, jumps int, v verdict, bonus bool, grade rules.Points) rules.Points {
	var b strings.Builder
	words := strings.Split(code, "+")
	for i, word := range words {
		if i > 0 {
			b.WriteByte('+')
		}
		b.WriteString(word)
		if i < jumps && v.void[i] {
			b.WriteByte('*')
		}
	}
	b.WriteString(v.mark)
	key := b.String() + " " + strconv.FormatBool(bonus) + grade.String()
	if points, known := s.known[key]; known {
		return points
	}
	var unheard rules.Warnings
	valued, faults := s.ctx.Elements(nil, []value.Skated{{Code: b.String(), SecondHalf: bonus}}, &unheard)
	if faults != nil {
		panic(faults)
	}
	points := valued[0].Base
	for _, row := range valued[0].GOERows() {
		low := int(grade) / 100
		if int(grade)%100 < 0 {
			low--
		}
		from, _, _ := row.GOE(low)
		to := from
		rest := int64(grade) - int64(low)*100
		if rest != 0 {
			to, _, _ = row.GOE(low + 1)
		}
		points += rules.Points(rules.RoundDiv(int64(from)*(100-rest)+int64(to)*rest, 100))
	}
	s.known[key] = points
	return points
}
