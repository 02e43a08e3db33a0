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
	var faults rules.FieldErrors
	take := func(err error) {
		faults = append(faults, err.(rules.FieldError)) //nolint:errorlint // the look-ups give a bare FieldError
	}
	required := func(field, example string) {
		faults.Add(field, rules.ReasonFieldRequired, "is empty: give one of the season's, such as %s", example)
	}
	if segmentKey == "" {
		required("segment", "free-skating")
	}
	if categoryKey == "" {
		required("category", "senior-women")
		return nil, faults
	}
	category, err := season.Category(categoryKey)
	if err != nil {
		take(err)
		if segmentKey != "" && !knownSegment(season, segmentKey) {
			faults.Add("segment", rules.ReasonSegmentUnknown, "no category of season %s has a segment %s", season.Params.Season, rules.Quote(segmentKey))
		}
		return nil, faults
	}
	if segmentKey != "" {
		if _, err := category.Segment(segmentKey); err != nil {
			take(err)
		}
	}
	return category, faults
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
