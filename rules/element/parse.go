package element

import (
	"errors"
	"fmt"
	"strings"
)

// MaxLength is the longest code that is read, in bytes.
const MaxLength = 64

// ErrCode says that a text is not an element code.
var ErrCode = errors.New("not an element code")

// What is allowed where a code is at fault.
const (
	// JumpForm is how a jump's code is made.
	JumpForm = "1 to 5 turns and then T, S, Lo, F, Lz, A or Eu, such as 3Lz"
	signForm = "< << q e ! V *"
	codeForm = "codes as sheets print them, such as 3Lz+3T, CCoSp4 or StSq3"
)

// codeError says why a text is no code. It is ErrCode.
type codeError struct{ code, why, allowed string }

func (e *codeError) Error() string {
	shown := e.code
	if len(shown) > 40 {
		shown = shown[:40] + "…"
	}
	return fmt.Sprintf("%q is %v: %s", shown, ErrCode, e.why)
}
func (e *codeError) Unwrap() error { return ErrCode }

// Allowed says what may stand in the place at fault, or "" when that is no short list.
func (e *codeError) Allowed() string { return e.allowed }

// invalidCode makes a fault of a code; allowed may be empty.
func invalidCode(allowed, format string, args ...any) *codeError {
	return &codeError{why: fmt.Sprintf(format, args...), allowed: allowed}
}

// Parse reads a code. Signs may stand in any order; the element prints them in
// canonical order. It allocates nothing for codes that are canonical already.
func Parse(code string) (Element, error) {
	var e Element
	if err := e.Read(code); err != nil {
		return Element{}, err
	}
	return e, nil
}

// Read is Parse in the memory of e. The error names the code that a text in the
// wrong letters, such as 3lz, stands for. After an error e is not to be used.
func (e *Element) Read(code string) error {
	if err := e.read(code); err != nil {
		err.code = code
		if meant := Meant(code); meant != "" {
			err.why += "; did you mean " + meant + "?"
		}
		return err
	}
	return nil
}

func (e *Element) read(code string) *codeError {
	e.n, e.KeyPoints = 0, ""
	switch {
	case code == "":
		return invalidCode(codeForm, "it is empty")
	case len(code) > MaxLength:
		return invalidCode(fmt.Sprintf("1 to %d characters", MaxLength), "it has %d characters, at most %d are read", len(code), MaxLength)
	}
	for rest, more := code, true; more; {
		var word string
		word, rest, more = strings.Cut(rest, "+")
		if word == "" {
			return invalidCode("", "nothing stands beside a +")
		}
		if e.n > 0 {
			done, err := e.marker(word)
			if err != nil {
				return err
			}
			if done {
				continue
			}
		}
		if e.KeyPoints != "" {
			return invalidCode("", "nothing can follow the key points")
		}
		if e.n == 2 && !isJump(&e.parts[0]) {
			return invalidCode("", "an element that is no jump has at most two parts")
		}
		if e.n == MaxParts {
			return invalidCode(fmt.Sprintf("1 to %d parts", MaxParts), "it has more than %d parts", MaxParts)
		}
		if e.n == 0 && isMarker(word) {
			return invalidCode("", "+%s follows a part, such as in 3T+%s; nothing stands before it", word, word)
		}
		p := &e.parts[e.n]
		if err := p.read(word); err != nil {
			return err
		}
		if e.n > 0 && !fits(&e.parts[0], p) {
			return invalidCode("", "%s cannot be joined to %s", word, e.parts[0].Text)
		}
		e.n++
	}
	return nil
}

// fits reports whether a further part can follow the first in one element: jumps
// with jumps, and the two parts of a dance element with each other.
func fits(first, next *Part) bool {
	if first.Kind == Jump || next.Kind == Jump {
		return isJump(first) && isJump(next)
	}
	switch first.Kind {
	case Lift, Step, Twizzle, Pattern, Other:
		return next.Kind == Lift || next.Kind == Step || next.Kind == Twizzle || next.Kind == Pattern || next.Kind == Other
	default:
		return false
	}
}

// isJump reports whether a part may be a jump: one by name, or a name of a club's
// own table (a waltz jump, say), of which only that table knows the kind.
func isJump(p *Part) bool { return p.Kind == Jump || p.Kind == Other }

func isMarker(word string) bool {
	for _, m := range markers {
		if m.text == word {
			return true
		}
	}
	return false
}

// marker reads a word that follows a part as a marker, if it is one.
func (e *Element) marker(word string) (bool, *codeError) {
	last := &e.parts[e.n-1]
	text, star := strings.CutSuffix(word, "*")
	if text == "ExEl" { // printed in both spellings
		text = "EXEL"
	}
	for _, m := range markers {
		if text != m.text {
			continue
		}
		if last.After&m.Marker != 0 {
			return false, invalidCode("", "+%s stands twice", m.text)
		}
		if m.Marker&ofJumps != 0 && !isJump(last) || m.Marker == TRANS && last.Kind == Jump {
			return false, invalidCode("", "+%s cannot follow %s", m.text, last.Text)
		}
		last.After |= m.Marker
		last.NoValueAfter = last.NoValueAfter || star
		return true, nil
	}
	points, ok := strings.CutPrefix(word, "kp")
	each := strings.TrimSuffix(points, "<")
	if !ok || each == "" || strings.Trim(each, "YNT") != "" {
		return false, nil
	}
	if e.KeyPoints != "" || last.Kind == Jump || last.Kind == Spin || len(each) > 6 {
		return false, invalidCode("", "key points %s cannot follow %s", word, last.Text)
	}
	e.KeyPoints = points
	return true, nil
}

// read reads one word between plus signs.
func (p *Part) read(word string) *codeError {
	*p = Part{}
	base := word
	for i := range len(word) {
		if !letterOrDigit(word[i]) {
			base = word[:i]
			break
		}
	}
	if base == "" {
		return invalidCode("", "it does not begin with a letter or digit but with %q", []rune(word)[0])
	}
	if !p.jump(base) {
		// A sign e behind F or Lz belongs to the jump's letters as far as scanning goes.
		if trimmed := strings.TrimRight(base, "eq"); trimmed != base && p.jump(trimmed) {
			base = trimmed
		} else if err := p.named(base); err != nil {
			return err
		}
	}
	if err := p.signs(base, word[len(base):]); err != nil {
		return err
	}
	p.canonical(word, base)
	return nil
}

func letterOrDigit(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z'
}

// jump reads turns and name of a jump or of a throw (…Th).
func (p *Part) jump(base string) bool {
	rest := base
	if rest != "" && rest[0] >= '1' && rest[0] <= '5' {
		p.Turns = rest[0] - '0'
		rest = rest[1:]
	}
	name, throw := strings.CutSuffix(rest, "Th")
	if !IsJumpName(name) {
		*p = Part{}
		return false
	}
	p.Kind = Jump
	if throw {
		p.Kind = Throw
	}
	return true
}

// JumpNames lists the jumps of the sport without their turns.
func JumpNames() []string { return []string{"T", "S", "Lo", "F", "Lz", "A", "Eu"} }

// IsJumpName reports whether a name is that of a jump of the sport, without turns.
func IsJumpName(name string) bool {
	switch name {
	case "T", "S", "Lo", "F", "Lz", "A", "Eu":
		return true
	}
	return false
}

// HasTakeOffEdge reports whether a jump can be called for its edge at the take-off.
func HasTakeOffEdge(name string) bool { return name == "F" || name == "Lz" }

// IsJump reports whether a text is a jump with its turns and without signs, such as 2A.
func IsJump(text string) bool {
	return text != "" && IsTurns(text[:1]) && IsJumpName(text[1:])
}

// IsTurns reports whether a text is a number of turns that a jump can have: 1 to 5.
func IsTurns(text string) bool { return len(text) == 1 && text[0] >= '1' && text[0] <= '5' }

// named reads an element that is not a jump: its name, a reduction (spins),
// and its level.
func (p *Part) named(base string) *codeError {
	name := base
	if strings.Contains(name, "Sp") {
		for _, v := range [...]Reduction{V1, V2, V} {
			if cut, ok := strings.CutSuffix(name, v.String()); ok {
				name, p.Reduced = cut, v
				break
			}
		}
	}
	if n := len(name); n > 1 && (name[n-1] == 'B' || name[n-1] >= '1' && name[n-1] <= '4') {
		p.Level = name[n-1]
		name = name[:n-1]
	}
	// 2014-15 and 2015-16: how many positions a combination spin had.
	if cut := strings.TrimSuffix(strings.TrimSuffix(name, "2p"), "3p"); cut != name && strings.HasSuffix(cut, "Sp") {
		name = cut
	}
	if name == "" || !hasUpper(name) {
		return invalidCode(codeForm, "%s is no jump, spin, step or other element of the sport", base)
	}
	if p.Reduced != Unreduced && p.Level == 0 {
		return invalidCode("", "%s has no level right before the sign %s", base, p.Reduced)
	}
	p.name = uint8(len(name))
	p.Kind = kindOf(name)
	if p.Kind == Pattern && p.Level == 0 && likeJump(name) {
		p.Kind = Other // such as 1W: only a club's own table can know what it is
	}
	if p.Kind == Twist && name[0] >= '1' && name[0] <= '5' {
		p.Turns = name[0] - '0'
	}
	return nil
}

func hasUpper(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool { return r >= 'A' && r <= 'Z' })
}

// kindOf returns the kind of element from its name.
func kindOf(name string) Kind {
	name = strings.TrimRight(name, "WLM") // the partner: woman (L to 2020-21) or man
	switch {
	case strings.HasPrefix(name, "Ch"):
		return Choreo
	case name == "SpSq" || name == "SpSt":
		return Spiral
	case strings.HasSuffix(name, "Sp"):
		return Spin
	case strings.HasSuffix(name, "Ds"):
		return DeathSpiral
	case strings.HasSuffix(name, "Li"):
		return Lift
	case strings.HasSuffix(name, "Tw") && (name == "Tw" || name[0] >= '1' && name[0] <= '5'):
		return Twist
	case strings.HasSuffix(name, "Tw"), name == "OFT":
		return Twizzle
	case hasDigit(name): // pattern dances name their sections by number: 1FS, GW1Sq1Se, TTF2Sq
		return Pattern
	case strings.HasSuffix(name, "St"), strings.HasSuffix(name, "StNt"), strings.HasSuffix(name, "Sq"):
		return Step
	default:
		return Other
	}
}

// likeJump reports whether a name looks like a jump's: a digit, then a capital
// letter, then at most one small letter.
func likeJump(name string) bool {
	n := len(name)
	return (n == 2 || n == 3 && name[2] >= 'a' && name[2] <= 'z') &&
		name[0] >= '0' && name[0] <= '9' && name[1] >= 'A' && name[1] <= 'Z'
}

// LikeJump reports whether a part that is no jump of the sport looks like one, such
// as 6Q or 3L. Where no table has an element of that name, it is a jump's code
// written wrongly.
func (p *Part) LikeJump() bool { return p.Kind == Other && likeJump(p.Bare()) }

func hasDigit(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool { return r >= '0' && r <= '9' })
}

// signs reads what stands behind the base: < << q e ! V * in any order.
func (p *Part) signs(base, s string) *codeError {
	for s != "" {
		width := 1
		switch {
		case s[0] == '<' || s[0] == 'q':
			if p.Rotation != Full {
				return invalidCode("", "%s has two rotation signs", base)
			}
			p.Rotation = UnderRotated
			if s[0] == 'q' {
				p.Rotation = OnQuarter
			} else if strings.HasPrefix(s, "<<") {
				p.Rotation, width = Downgraded, 2
			}
		case s[0] == 'e' || s[0] == '!':
			if p.Edge != 0 {
				return invalidCode("", "%s has two edge signs", base)
			}
			p.Edge = s[0]
		case s[0] == 'V' && p.Kind == Spin && p.Reduced == Unreduced && p.Level != 0:
			p.Reduced = V
			if len(s) > 1 && (s[1] == '1' || s[1] == '2') {
				p.Reduced, width = V+Reduction(s[1]-'0'), 2
			}
		case s[0] == '*':
			p.NoValue = true
			if strings.HasPrefix(s, "**") { // printed twice on some sheets
				width = 2
			}
		default:
			return invalidCode(signForm, "%q is not a sign; the signs are %s", []rune(s)[0], signForm)
		}
		s = s[width:]
	}
	switch {
	case p.Kind == Other && likeJump(base) && (p.Edge != 0 || p.Rotation != Full):
		return invalidCode(JumpForm, "%s is no jump of the sport; a jump is %s", base, JumpForm)
	case p.Edge != 0 && !HasTakeOffEdge(strings.TrimLeft(base, "12345")):
		return invalidCode("", "%s cannot have the edge sign %c; only flip and Lutz can", base, p.Edge)
	case p.Rotation == OnQuarter && p.Kind != Jump && p.Kind != Throw:
		return invalidCode("", "%s cannot have the sign q", base)
	case p.Rotation != Full && p.Kind != Jump && p.Kind != Throw && p.Kind != Twist:
		return invalidCode("", "%s cannot have a rotation sign", base)
	}
	return nil
}

// canonical sets Text. When the word is canonical already, it shares its memory.
func (p *Part) canonical(word, base string) {
	bare := base
	if p.Reduced != Unreduced {
		bare = strings.TrimSuffix(base, p.Reduced.String())
	}
	p.bare = uint8(len(bare))
	if p.name == 0 {
		p.name = p.bare
	}
	if len(word) == len(bare) { // no sign: most parts
		p.Text = word
		return
	}
	if rest, ok := strings.CutPrefix(word[len(bare):], p.Reduced.String()); ok {
		if p.Edge == 0 || rest != "" && rest[0] == p.Edge {
			if p.Edge != 0 {
				rest = rest[1:]
			}
			if after, ok := strings.CutPrefix(rest, p.Rotation.String()); ok {
				p.Text = word[:len(word)-len(after)]
				return
			}
		}
	}
	p.Text = bare + p.Reduced.String() + p.EdgeSign() + p.Rotation.String()
}
