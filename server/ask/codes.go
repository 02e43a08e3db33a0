package ask

import (
	"fmt"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
)

// Codes says which element codes no season could read.
func Codes(skated []value.Skated) rules.FieldErrors {
	var faults rules.FieldErrors
	if len(skated) > value.MaxElements {
		faults.Add("elements", rules.ReasonTooManyItems, "has %d elements; %s are taken", len(skated), rules.Allow("at most %d", value.MaxElements))
		return faults
	}
	for i := range skated {
		if _, err := element.Parse(skated[i].Code); err != nil {
			faults.Add(fmt.Sprintf("elements[%d].code", i), rules.ReasonCodeInvalid, "%v", err)
		}
	}
	return faults
}

// WithoutSeason adds to the faults of a request whose season is not there what
// can be reported without one.
func WithoutSeason(faults rules.FieldErrors, category, segment string, skated []value.Skated) rules.FieldErrors {
	faults = append(faults, PlaceRequired(category, segment)...)
	return append(faults, Codes(skated)...)
}
