package integration_test

import (
	"fmt"
	"reflect"
	"testing"

	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/server/cases"
)

// TestGoldenCases makes every golden case over the seven ways in. Each answer
// holds what the case expects, and the seven are equal.
func TestGoldenCases(t *testing.T) {
	list, err := cases.Load("rules/seasons", seasons.FS)
	if err != nil {
		t.Fatal(err)
	}
	ways := callers(t, start(t))
	calls, runs := map[string]int{}, 0
	for i := range list {
		c := &list[i]
		for _, season := range c.Seasons {
			calls[c.Call]++
			t.Run(fmt.Sprintf("%s/%s", c.Name, season), func(t *testing.T) {
				var first []byte
				var firstWay string
				for way, call := range ways {
					answer, differences := c.Run(t.Context(), season, call)
					runs++
					for _, d := range differences {
						t.Errorf("%s: %s:%d: %s", way, c.File, c.Line, d)
					}
					switch {
					case answer == nil:
						continue
					case first == nil:
						first, firstWay = answer, way
					case !reflect.DeepEqual(tree(t, first), tree(t, answer)):
						t.Errorf("%s answers\n%s\n%s\n%s", firstWay, first, way, answer)
					}
				}
			})
		}
	}
	t.Logf("%d cases, %d calls over %d ways in: %v", len(list), runs, len(ways), calls)
	if len(list) == 0 {
		t.Error("no case was found")
	}
}
