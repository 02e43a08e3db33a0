package table_test

import (
	"reflect"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules/table"
)

// However a season's parameters are written, the list of seasons says what the season
// says.
func TestHeadingsSayWhatSeasonsSay(t *testing.T) {
	for name, params := range map[string]string{
		"plain":                  "season: herons\ntitle: Herons\nextends: 2025-26\nsource: ours\nvalid_from: 2031-07-01\nvalid_to: 2032-06-30\npanel: {max_judges: 5}\n",
		"in another order":       "source: ours\npanel:\n  max_judges: 5\n  trim: 1\n# ours\nvalues:\n\n  pairs: none\nvalid_to: 2032-06-30\nvalid_from: 2031-07-01\nextends: 2025-26\ntitle : Herons\nseason: herons\n",
		"lines of Windows":       "season: herons\r\ntitle: >-\r\n  Our\r\n  Herons\r\npanel: {max_judges: 5}\r\nextends: 2025-26\r\nsource: ours\r\n",
		"one mapping in braces":  "{season: herons, title: Herons, extends: 2025-26, source: ours}\n",
		"keys in quotes":         "\"season\": herons\n'title': Herons\nextends: 2025-26\nsource: ours\n",
		"behind three hyphens":   "---\nseason: herons\ntitle: Herons\nextends: 2025-26\nsource: ours\n",
		"behind a mark of UTF-8": "\xef\xbb\xbfseason: herons\ntitle: Herons\nextends: 2025-26\nsource: ours\n",
		"further in":             "  season: herons\n  title: Herons\n  extends: 2025-26\n  source: ours\n",
		"an alias":               "source: &ours Herons\nseason: herons\ntitle: *ours\nextends: 2025-26\n",
		"a text of several lines": "season: herons\nsource: \"ours:\n  valid_to: 2032-06-30\n  \"\n" +
			"note: |\n  title: not this\n  # nor this\ntitle: 'Herons\n\n  of ours'\nextends: 2025-26\n",
	} {
		c := embedded.Over(table.Layer{Name: "club", FS: fstest.MapFS{"herons/season.yaml": {Data: []byte(params)}}})
		s, err := c.Season("herons")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		found := false
		for _, h := range c.Headings() {
			if h.Season == "herons" {
				found = true
				if !reflect.DeepEqual(h, s.Heading()) {
					t.Errorf("%s: the list says %+v, the season %+v", name, h, s.Heading())
				}
			}
		}
		if !found {
			t.Errorf("%s: the list does not have it", name)
		}
	}
}

// A season whose heading cannot be read is not listed.
func TestHeadingsLeaveOutWhatCannotBeRead(t *testing.T) {
	for name, params := range map[string]string{
		"no YAML":            "season: herons\ntitle: \"Herons\n",
		"another one missed": "season: herons\ntitle: Herons\nextends: nowhere\nsource: ours\n",
	} {
		c := embedded.Over(table.Layer{Name: "club", FS: fstest.MapFS{"herons/season.yaml": {Data: []byte(params)}}})
		for _, h := range c.Headings() {
			if h.Season == "herons" {
				t.Errorf("%s: listed as %+v", name, h)
			}
		}
	}
}
