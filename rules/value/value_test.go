package value_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/value"
)

func catalog(t *testing.T) *rules.Catalog {
	t.Helper()
	c, err := rules.Load(rules.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func context(t *testing.T, c *rules.Catalog, season, category, segment, scope string) value.Context {
	t.Helper()
	s, err := c.Season(season)
	if err != nil {
		t.Fatal(err)
	}
	ctx, err := value.NewContext(s, category, segment, scope)
	if err != nil {
		t.Fatal(err)
	}
	return ctx
}

// one is a single element to value and where.
type one struct {
	season, category, segment, scope, code string
}

func (o one) value(t *testing.T, c *rules.Catalog) (value.Valued, rules.Warnings, error) {
	t.Helper()
	ctx := context(t, c, o.season, o.category, o.segment, o.scope)
	var warnings rules.Warnings
	got, err := ctx.Elements(nil, []value.Skated{{Code: o.code}}, &warnings)
	if err != nil {
		return value.Valued{}, warnings, err
	}
	return got[0], warnings, nil
}

func TestBaseValues(t *testing.T) {
	c := catalog(t)
	for _, test := range []struct {
		one
		want   string
		source string
	}{
		{one{"2016-17", "senior-women", "free-skating", "", "3Fe<<"}, "1.40", "published sheet of 2016-17: 1.54 in the second half"},
		{one{"2014-15", "senior-women", "free-skating", "", "3Lze<<"}, "1.50", "published sheets of 2014-15"},
		{one{"2013-14", "senior-women", "free-skating", "", "3F<<"}, "1.80", "the value of 2F on the sheets of 2013-14"},
	} {
		got, _, err := test.value(t, c)
		if err != nil {
			t.Errorf("%+v: %v", test.one, err)
		} else if got.Base.String() != test.want {
			t.Errorf("%+v is %v, want %s (%s)", test.one, got.Base, test.want, test.source)
		}
	}
}

// TestEdgeSignStaysOnDowngrade checks that from 2014-15 on the value of a
// downgraded jump with a wrong edge is that of the lower jump with a wrong edge.
func TestEdgeSignStaysOnDowngrade(t *testing.T) {
	c := catalog(t)
	for _, season := range []string{"2018-19", "2021-22", "2025-26"} {
		for _, jump := range []string{"F", "Lz"} {
			high, _, err := one{season, "senior-men", "free-skating", "", "3" + jump + "e<<"}.value(t, c)
			if err != nil {
				t.Fatal(err)
			}
			low, _, err := one{season, "senior-men", "free-skating", "", "2" + jump + "e"}.value(t, c)
			if err != nil {
				t.Fatal(err)
			}
			if high.Base != low.Base || low.Base == 0 {
				t.Errorf("%s: 3%se<< is %v, 2%se is %v; want the same", season, jump, high.Base, jump, low.Base)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	c := catalog(t)
	for _, test := range []struct {
		one
		reason rules.Reason
		say    string
	}{
		{one{"2012-13", "senior-men", "free-skating", "", "3F+REP"}, rules.ReasonSignUnknown, "behind a jump it uses +SEQ, +COMBO"},
		{one{"2005-06", "senior-men", "free-skating", "", "3F<"}, rules.ReasonSignUnknown, "it uses no signs"},
		{one{"2016-17", "senior-men", "free-skating", "", "3Tq"}, rules.ReasonSignUnknown, "its signs are: ! <"},
		{one{"2025-26", "senior-men", "free-skating", "", "5SLi4"}, rules.ReasonElementUnknown, "in singles"},
	} {
		_, _, err := test.value(t, c)
		var faults rules.FieldErrors
		switch {
		case !errors.As(err, &faults):
			t.Errorf("%+v: %v; want %s", test.one, err, test.reason)
		case len(faults) != 1 || faults[0].Reason != test.reason || faults[0].Field != "elements[0].code" || !strings.Contains(faults[0].Message, test.say):
			t.Errorf("%+v: %+v; want %s at elements[0].code that says %q", test.one, faults, test.reason, test.say)
		}
	}
}
