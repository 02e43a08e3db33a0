package scoring

import (
	"strconv"
	"strings"
)

// placeWords name the parts of a path within an element: one of several, whose number
// follows, or the part as a whole. What has no words is not named.
var placeWords = map[string]struct{ one, whole string }{
	"feet":                 {one: "foot"},
	"positions":            {one: "position"},
	"keyPoints":            {one: "key point"},
	"features":             {one: "feature"},
	"oneHandRevolutions":   {one: "hold with one hand", whole: "hold with one hand"},
	"turns":                {one: "turn", whole: "turns"},
	"partnerTurns":         {one: "partner's turn", whole: "partner's turns"},
	"flying":               {whole: "flying entry"},
	"difficultEntrance":    {whole: "entrance"},
	"backwardEntry":        {whole: "entrance"},
	"backwardEdgeEntrance": {whole: "entrance"},
	"difficultExit":        {whole: "exit"},
	"lowRevolutions":       {whole: "low revolutions"},
	"bothDirections":       {whole: "both directions"},
	"woman":                {whole: "woman"},
	"man":                  {whole: "man"},
	"rotations":            {whole: "rotations"},
	"differentEntryEdges":  {whole: "entry edges"},
	"additionalFeatures":   {whole: "additional features"},
}

// where says a path within an element in words: "feet[0].positions[1]" is
// "foot 1, position 2".
func where(path string) string {
	var out []string
	for step := range strings.SplitSeq(path, ".") {
		name, rest, _ := strings.Cut(step, "[")
		words := placeWords[name].whole
		if i, err := strconv.Atoi(strings.TrimSuffix(rest, "]")); err == nil {
			words = placeWords[name].one + " " + strconv.Itoa(i+1)
		}
		if words != "" {
			out = append(out, words)
		}
	}
	return strings.Join(out, ", ")
}
