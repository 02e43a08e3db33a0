package scoring

import (
	"fmt"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
)

// place finds category and segment of a request and tells every fault of both.
// The category is nil when it is unknown.
func place(season *rules.Season, categoryKey, segmentKey string) (*rules.Category, rules.FieldErrors) {
	faults := placeRequired(categoryKey, segmentKey)
	if categoryKey == "" {
		return nil, faults
	}
	take := func(err error) {
		faults = append(faults, err.(rules.FieldError)) //nolint:errorlint // the look-ups give a bare FieldError
	}
	category, err := season.Category(categoryKey)
	switch {
	case err != nil:
		take(err)
		if segmentKey != "" && !knownSegment(season, segmentKey) {
			faults.Add("segment", rules.ReasonSegmentUnknown, "no category of season %s has a segment %s", season.Params.Season, rules.Quote(segmentKey))
		}
	case segmentKey != "":
		if _, err := category.Segment(segmentKey); err != nil {
			take(err)
		}
	}
	return category, faults
}

// placeRequired tells which of category and segment is empty.
func placeRequired(category, segment string) rules.FieldErrors {
	var faults rules.FieldErrors
	if category == "" {
		faults.Add("category", rules.ReasonFieldRequired, "is empty: give one of the season's, such as senior-women")
	}
	if segment == "" {
		faults.Add("segment", rules.ReasonFieldRequired, "is empty: give one of the category's, such as free-skating")
	}
	return faults
}

// withoutSeason adds to the faults of a request whose season is not there what
// can be told without one.
func withoutSeason(err error, category, segment string, skated []value.Skated) error {
	faults := err.(rules.FieldErrors) //nolint:errorlint // the tables give bare FieldErrors
	faults = append(faults, placeRequired(category, segment)...)
	return append(faults, codeFaults(skated)...)
}

func knownSegment(season *rules.Season, key string) bool {
	for _, category := range season.Categories {
		if category.Segments[key] != nil {
			return true
		}
	}
	return false
}

// codeFaults tells which codes no season could read.
func codeFaults(skated []value.Skated) rules.FieldErrors {
	var faults rules.FieldErrors
	if len(skated) > value.MaxElements {
		faults.Add("elements", rules.ReasonTooManyItems, "has %d elements; at most %d are taken", len(skated), value.MaxElements)
		return faults
	}
	for i := range skated {
		if _, err := element.Parse(skated[i].Code); err != nil {
			faults.Add(fmt.Sprintf("elements[%d].code", i), rules.ReasonCodeInvalid, "%v", err)
		}
	}
	return faults
}
