package rulesvc

import (
	"fmt"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// halfWords says the second-half rule in words.
func halfWords(s *rules.Season, half *rules.SecondHalf) string {
	kinds := half.Kinds
	if len(kinds) == 0 {
		kinds = []string{"jump"}
	}
	what := strings.Join(kinds, " and ") + " elements"
	percent := s.BaseValue.SecondHalf.Percent
	switch half.Which {
	case "all":
		return fmt.Sprintf("all %s executed in the second half have %d %% of their base value", what, percent)
	case "last":
		if half.Last == 1 {
			return fmt.Sprintf("the last of the %s, if executed in the second half, has %d %% of its base value", what, percent)
		}
		return fmt.Sprintf("the last %d of the %s, if executed in the second half, have %d %% of their base value", half.Last, what, percent)
	default:
		return "no element earns a bonus for the second half"
	}
}
