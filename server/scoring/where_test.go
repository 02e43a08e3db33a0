package scoring

import "testing"

// The golden cases try the paths of every kind of element but twizzles
// (server/cases); their parts are paths of rules/level/dance.go.
func TestWhere(t *testing.T) {
	for path, want := range map[string]string{
		"": "", "woman.rotations": "woman, rotations", "man.differentEntryEdges": "man, entry edges", "man.bothDirections": "man, both directions",
		"woman.additionalFeatures": "woman, additional features", "feet[1].positions[2].revolutions": "foot 2, position 3", "feet": "",
	} {
		if got := where(path); got != want {
			t.Errorf("%q is %q in words, want %q", path, got, want)
		}
	}
}
