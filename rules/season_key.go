package rules

import "fmt"

// CheckSeasonKey returns nil for the key of a season, such as 2025-26 or
// our-club-2026: 1 to 63 small letters, digits and hyphens of which the first is no
// hyphen. Otherwise the error says what was found and what is allowed.
func CheckSeasonKey(key string) error {
	if seasonKey.MatchString(key) {
		return nil
	}
	return fmt.Errorf("%s is not a season key: want small letters, digits and hyphens, such as 2025-26 or our-club-2026", Quote(key))
}
