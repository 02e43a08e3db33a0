package element

import "strings"

// Describe returns the element's name in words, such as "triple Lutz + double toe loop,
// second jump under-rotated" or "change foot combination spin with flying entrance,
// level 4". Names that the sport's letters do not say are returned as their code.
func (e *Element) Describe() string {
	var b strings.Builder
	combined := e.n > 1 && e.Kind() == Jump
	for i := range e.n {
		if i > 0 {
			b.WriteString(" + ")
		}
		if combined {
			b.WriteString(e.parts[i].nameWords())
		} else {
			b.WriteString(e.parts[i].Describe())
		}
	}
	for _, m := range markers {
		if e.Has(m.Marker) {
			b.WriteString(markerWords[m.Marker])
		}
	}
	if combined {
		for i := range e.n {
			if called := e.parts[i].called(); len(called) > 0 {
				b.WriteString(", " + jumpOrder[i] + " jump " + strings.Join(called, " and "))
			}
		}
	}
	return b.String()
}

// jumpOrder counts the jumps of a combination.
var jumpOrder = [MaxParts]string{"first", "second", "third", "fourth", "fifth"}

var markerWords = map[Marker]string{
	SEQ:   " as a jump sequence",
	COMBO: ", combination not completed",
	REP:   ", repeated",
	TRANS: ", transitional element",
	EXEL:  ", above the number allowed",
}

// Describe returns the part's name in words, such as "triple flip, unclear edge".
func (p *Part) Describe() string {
	return strings.Join(append([]string{p.nameWords()}, p.called()...), ", ")
}

// nameWords returns the name with the level.
func (p *Part) nameWords() string {
	var name string
	switch p.Kind {
	case Jump:
		name = p.jumpWords(p.Name())
	case Throw:
		name = "throw " + p.jumpWords(strings.TrimSuffix(p.Name(), "Th"))
	case Twist:
		name = strings.TrimSpace(turnWords[p.Turns] + " twist lift")
	case Spin:
		name = p.spinWords()
	default:
		if name = named[p.Name()]; name == "" {
			name = p.Name()
		}
	}
	switch {
	case p.Level == 'B':
		name += ", basic level"
	case p.Level != 0:
		name += ", level " + string(p.Level)
	}
	return name
}

// called returns what the panel called on the part: its signs in words.
func (p *Part) called() []string {
	var words []string
	for _, sign := range []string{p.EdgeSign(), p.Rotation.String()} {
		if sign != "" {
			words = append(words, signWords[sign])
		}
	}
	if p.Reduced != Unreduced {
		words = append(words, "reduced value ("+p.Reduced.String()+")")
	}
	if p.NoValue {
		words = append(words, "no value")
	}
	return words
}

var turnWords = [...]string{"", "single", "double", "triple", "quadruple", "quintuple"}

var jumpWords = map[string]string{
	"T": "toe loop", "S": "Salchow", "Lo": "loop", "F": "flip", "Lz": "Lutz", "A": "Axel",
}

func (p *Part) jumpWords(name string) string {
	if name == "Eu" {
		return "Euler"
	}
	if p.Turns == 0 {
		return "attempt at a jump (" + jumpWords[name] + ")"
	}
	return turnWords[p.Turns] + " " + jumpWords[name]
}

var signWords = map[string]string{
	"e":  "wrong edge",
	"!":  "unclear edge",
	"q":  "landed on the quarter",
	"<":  "under-rotated",
	"<<": "downgraded",
}

var spinWords = map[string]string{
	"U": "upright", "L": "layback", "C": "camel", "S": "sit", "Co": "combination", "P": "pair", "PCo": "pair combination",
}

// spinLetters reads a spin's letters: F for the flying entrance, C for the change
// of foot, then the position.
func (p *Part) spinLetters() (position string, change, flying bool) {
	position, flying = strings.CutPrefix(strings.TrimSuffix(p.Name(), "Sp"), "F")
	if len(position) > 1 && spinWords[position] == "" {
		position, change = strings.CutPrefix(position, "C")
	}
	return position, change, flying
}

// IsSpinOfSport reports whether the part is a spin that the sport's letters name,
// such as CCoSp4, and no club's own, such as OneSp.
func (p *Part) IsSpinOfSport() bool {
	position, _, _ := p.spinLetters()
	return p.Kind == Spin && spinWords[position] != ""
}

func (p *Part) spinWords() string {
	position, change, flying := p.spinLetters()
	words := spinWords[position]
	if words == "" {
		return p.Name()
	}
	words += " spin"
	if change {
		words = "change foot " + words
	}
	if flying {
		words += " with flying entrance"
	}
	for count, text := range map[string]string{"2p": ", two positions", "3p": ", three positions"} {
		if strings.Contains(p.Bare(), "Sp"+count) {
			words += text
		}
	}
	return words
}

// named are the elements that are not put together from letters.
var named = map[string]string{
	"StSq": "step sequence",
	"SlSt": "straight line step sequence",
	"CiSt": "circular step sequence",
	"SeSt": "serpentine step sequence",
	"ChSt": "choreographic step sequence",
	"ChSq": "choreographic sequence",
	"ChSp": "choreographic spiral sequence",
	"SpSq": "spiral sequence",
	"BiDs": "backward inside death spiral",
	"BoDs": "backward outside death spiral",
	"FiDs": "forward inside death spiral",
	"FoDs": "forward outside death spiral",
}
