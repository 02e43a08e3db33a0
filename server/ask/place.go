// Package ask reads what requests of several services have in common, and reports
// what is wrong with it.
package ask

import "github.com/rinktally/rinktally/rules"

// Place finds category and segment of a request and reports every fault of both.
// The category is nil when it is unknown.
func Place(season *rules.Season, categoryKey, segmentKey string) (*rules.Category, rules.FieldErrors) {
	faults := PlaceRequired(categoryKey, segmentKey)
	if categoryKey == "" {
		return nil, faults
	}
	category, unknown := season.Category(categoryKey)
	switch {
	case len(unknown) > 0:
		faults = append(faults, unknown...)
		if segmentKey != "" && !knownSegment(season, segmentKey) {
			faults.Add("segment", rules.ReasonSegmentUnknown, "no category of season %s has a segment %s; segments are: %s", season.Params.Season, rules.Quote(segmentKey), rules.AllowList(rules.SegmentKeys))
		}
	case segmentKey != "":
		_, unknown := category.Segment(segmentKey)
		faults = append(faults, unknown...)
	}
	return category, faults
}

// PlaceRequired says which of category and segment is empty.
func PlaceRequired(category, segment string) rules.FieldErrors {
	var faults rules.FieldErrors
	if category == "" {
		faults.Add("category", rules.ReasonFieldRequired, "is empty: give one of the season's, such as senior-women")
	}
	if segment == "" {
		faults.Add("segment", rules.ReasonFieldRequired, "is empty: give one of the category's, such as free-skating")
	}
	return faults
}

func knownSegment(season *rules.Season, key string) bool {
	for _, category := range season.Categories {
		if category.Segments[key] != nil {
			return true
		}
	}
	return false
}
