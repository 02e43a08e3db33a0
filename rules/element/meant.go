package element

import "strings"

// The letter groups of codes that have a small letter. Of two that begin alike the
// longer stands first.
var (
	jumpNames = [...]string{"Lo", "Lz", "Eu", "T", "S", "F", "A"}
	syllables = [...]string{"Sta", "Sp", "Sq", "St", "Sl", "Se", "Co", "Ch", "Cl", "Ci", "Cu", "Li", "Ro", "Tw", "Ds", "Bo", "Bi", "Fo", "Fi", "Mi", "Di", "Nt"}
)

// Meant returns the code that a text spells in the wrong letters, such as 3Lz+3T
// for "3lz+3t", or "" when it spells none.
func Meant(text string) string {
	if len(text) > MaxLength {
		return ""
	}
	words := strings.Split(text, "+")
	for i, word := range words {
		words[i] = spell(word)
	}
	code := strings.Join(words, "+")
	var e Element
	if code == text || e.read(code) != nil {
		return ""
	}
	for _, p := range e.Parts() {
		if p.Kind == Other || p.Kind == Pattern { // any letters may be such a name
			return ""
		}
	}
	return e.String()
}

// spell writes one word between plus signs in the letters of a code.
func spell(word string) string {
	if upper := strings.ToUpper(word); isMarker(strings.TrimSuffix(upper, "*")) {
		return upper
	}
	if word != "" && word[0] >= '1' && word[0] <= '5' {
		for _, name := range jumpNames {
			rest, ok := cutFold(word[1:], name)
			if !ok {
				continue
			}
			if after, throw := cutFold(rest, "Th"); throw {
				name, rest = name+"Th", after
			}
			if strings.Trim(rest, "<qeQE!*") == "" {
				return word[:1] + name + strings.ToLower(rest)
			}
		}
	}
	var b strings.Builder
	for i := 0; i < len(word); {
		group := strings.ToUpper(word[i : i+1])
		if i > 0 && (group == "P" && word[i-1] <= '9' || group == "E" || group == "Q") {
			group = strings.ToLower(group) // the p of 3p and the signs e and q
		}
		for _, s := range syllables {
			if _, ok := cutFold(word[i:], s); ok {
				group = s
				break
			}
		}
		b.WriteString(group)
		i += len(group)
	}
	return b.String()
}

// cutFold is strings.CutPrefix in any letters.
func cutFold(s, prefix string) (rest string, found bool) {
	if len(s) < len(prefix) || !strings.EqualFold(s[:len(prefix)], prefix) {
		return s, false
	}
	return s[len(prefix):], true
}
