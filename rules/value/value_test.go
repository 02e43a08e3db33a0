package value_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/rules/value"
)

func catalog(t testing.TB) *table.Catalog {
	t.Helper()
	c, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func context(t testing.TB, c *table.Catalog, season, category, segment, scope string) value.Context {
	t.Helper()
	s, err := c.Season(season)
	if err != nil {
		t.Fatal(err)
	}
	ctx, faults := value.NewContext(s, category, segment, scope)
	if faults != nil {
		t.Fatal(faults)
	}
	return ctx
}

// one is a single element to value and where.
type one struct {
	season, category, segment, scope, code string
}

func (o one) value(t *testing.T, c *table.Catalog) (value.Valued, rules.Warnings, error) {
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
		// Pairs: throws and twist lifts lose turns like jumps.
		{one{"2007-08", "senior-pairs", "free-skating", "", "3FTh<"}, "3.00", "the value of 2FTh on the sheets of 2007-08"},
		{one{"2016-17", "senior-pairs", "free-skating", "", "3TwB<<"}, "2.90", "published sheet of 2016-17"},
		{one{"2016-17", "senior-pairs", "free-skating", "", "FoDs"}, "0.00", "no level has no value"},
		{one{"2021-22", "senior-pairs", "free-skating", "", "PCoSp2V"}, "2.63", "published sheet of 2021-22"},
		{one{"2019-20", "senior-pairs", "free-skating", "", "3LoTh<"}, "3.75", "published sheet of 2019-20: 75% of 5.00, while jumps have 80%"},
		{one{"2019-20", "senior-pairs", "free-skating", "", "3S<"}, "3.44", "published sheets of 2019-20"},
		{one{"2018-19", "senior-pairs", "free-skating", "", "3Fe<"}, "3.18", "published sheet of 2018-19: 60% of 5.30"},
		{one{"2021-22", "senior-pairs", "free-skating", "", "BiDs4"}, "3.80", "the value of FiDs4 on the sheets of 2021-22"},
		{one{"2022-23", "senior-pairs", "free-skating", "", "BiDs4"}, "4.00", "published sheets of 2022-23"},
		{one{"2024-25", "senior-pairs", "free-skating", "", "FoDs4"}, "5.10", "published sheet of 2024-25"},
		{one{"2025-26", "senior-pairs", "free-skating", "", "1Tw2"}, "1.30", "published sheet of 2025-26"},
		// An attempt without a level.
		{one{"2019-20", "senior-women", "short-program", "", "Sp"}, "0.00", "published sheet of 2019-20"},
		{one{"2009-10", "senior-dance", "free-dance", "", "CuLi+RoLi"}, "0.00", "two lifts without a level: no level has no value"},
		// Above the number allowed: the mark itself changes nothing.
		{one{"2022-23", "senior-dance", "rhythm-dance", "", "RoLi*+EXEL"}, "0.00", "published sheet of 2022-23"},
		{one{"2023-24", "senior-dance", "free-dance", "", "ChSt1+ExEl"}, "1.10", "published sheet of 2023-24"},
		// Two parts: a share of the sum to 2009-10, the sum since; in either order.
		{one{"2005-06", "senior-dance", "free-dance", "", "CuLi4+RoLi4"}, "5.60", "published sheets of 2005-06"},
		{one{"2005-06", "senior-dance", "free-dance", "", "NtMiSt2+STw4"}, "7.00", "published sheets of 2005-06"},
		{one{"2009-10", "senior-dance", "free-dance", "", "CuLi4+RoLi3"}, "7.36", "published sheet of 2009-10"},
		{one{"2010-11", "senior-dance", "free-dance", "", "RoLi4+CuLi4"}, "8.00", "published sheets of 2010-11, the lifts in the other order"},
		{one{"2016-17", "senior-dance", "free-dance", "", "RoLi4+StaLi4"}, "9.00", "published sheets of 2016-17"},
		{one{"2021-22", "senior-dance", "rhythm-dance", "", "SqTwW4+SqTwM3"}, "6.47", "published sheets of 2021-22"},
		{one{"2019-20", "senior-dance", "free-dance", "", "SqTwL4+SqTwM3"}, "6.47", "published sheets of 2019-20"},
		{one{"2019-20", "junior-dance", "rhythm-dance", "", "1TTF2+kpNYYY<"}, "4.00", "published sheet of 2019-20"},
		{one{"2025-26", "senior-dance", "rhythm-dance", "", "SqTwW4+SqTwM"}, "3.67", "published sheet of 2025-26: no level for the man"},
		// Values of one segment, one dance, or one part of the season.
		{one{"2008-09", "senior-dance", "original-dance", "", "DiSt3"}, "7.20", "published sheets of 2008-09"},
		{one{"2008-09", "senior-dance", "free-dance", "", "DiSt3"}, "6.20", "published sheets of 2008-09"},
		{one{"2009-10", "senior-dance", "compulsory-dance", "Tango Romantica", "1S1"}, "2.90", "published sheets of the Olympic Games 2010"},
		{one{"2009-10", "senior-dance", "compulsory-dance", "Golden Waltz", "1S1"}, "1.70", "published sheets of 2009-10"},
		{one{"2011-12", "senior-dance", "free-dance", "Grand Prix", "SlLi4+RoLi4"}, "8.00", "published sheets of 2011-12"},
		// Pattern dances that stand in both parts of the table.
		{one{"2025-26", "senior-dance", "rhythm-dance", "", "RF1Sq1"}, "7.00", "ISU Communication 2705, with key points"},
		{one{"2025-26", "senior-dance", "rhythm-dance", "pattern dance without key points", "RF1Sq1"}, "3.50", "ISU Communication 2705, without key points"},
		{one{"2023-24", "senior-dance", "rhythm-dance", "pattern dance without key points", "KI1SqB"}, "1.67", "ISU Communication 2705 (2025-26), the same era"},
		// Key points and the mark of a transitional element do not change a value.
		{one{"2013-14", "senior-dance", "short-dance", "", "1FS3+kpYNY"}, "6.00", "published sheets of 2013-14"},
		{one{"2010-11", "senior-dance", "free-dance", "", "Li+TRANS"}, "0.00", "published sheets of 2010-11"},
	} {
		got, _, err := test.value(t, c)
		if err != nil {
			t.Errorf("%+v: %v", test.one, err)
		} else if got.Base.String() != test.want {
			t.Errorf("%+v is %v, want %s (%s)", test.one, got.Base, test.want, test.source)
		}
	}
}

// TestSecondHalfFirst checks the order of the shares, which shows in the last
// digit: from 2006-07 on the second half, then a sequence, then a repetition, each
// rounded; in 2005-06, which prints one decimal, the sequence first.
func TestSecondHalfFirst(t *testing.T) {
	c := catalog(t)
	for _, test := range []struct{ season, category, code, want string }{
		{"2018-19", "senior-men", "3F<+REP", "3.07"},      // 3.98, 4.38; printed
		{"2019-20", "senior-women", "3S+2A<+SEQ", "6.10"}, // 6.94, 7.63; printed
		{"2021-22", "senior-women", "3S+2A<+SEQ", "6.10"}, // printed
		{"2019-20", "senior-women", "2A+2A<+SEQ", "5.22"}, // 5.94, 6.53; printed
	} {
		ctx := context(t, c, test.season, test.category, "free-skating", "")
		var warnings rules.Warnings
		got, err := ctx.Elements(nil, []value.Skated{{Code: test.code, SecondHalf: true}}, &warnings)
		if err != nil {
			t.Errorf("%+v: %v", test, err)
		} else if got[0].Base.String() != test.want {
			t.Errorf("%s %s in the second half is %v, want %s", test.season, test.code, got[0].Base, test.want)
		}
	}
}

// TestSecondHalfOfPairs checks which elements of pairs earned the bonus (the
// printed bonus signs of the sheets of each season).
func TestSecondHalfOfPairs(t *testing.T) {
	c := catalog(t)
	for _, test := range []struct{ season, code, want string }{
		{"2007-08", "3FTh", "6.05"},   // 5.50
		{"2007-08", "5ALi4", "6.50"},  // no bonus for lifts
		{"2008-09", "5ALi4", "7.15"},  // 6.50
		{"2013-14", "3Tw4", "6.82"},   // 6.20
		{"2013-14", "PCoSp4", "4.50"}, // never for spins
		{"2014-15", "3FTh", "5.50"},   // none any more
		{"2016-17", "5ALi4", "7.50"},
	} {
		ctx := context(t, c, test.season, "senior-pairs", "free-skating", "")
		var warnings rules.Warnings
		got, err := ctx.Elements(nil, []value.Skated{{Code: test.code, SecondHalf: true}}, &warnings)
		if err != nil {
			t.Errorf("%+v: %v", test, err)
		} else if got[0].Base.String() != test.want {
			t.Errorf("%s %s in the second half is %v, want %s", test.season, test.code, got[0].Base, test.want)
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
		{one{"2016-17", "senior-men", "free-skating", "", "3Tq"}, rules.ReasonSignUnknown, "its signs are: !, <"},
		{one{"2009-10", "senior-dance", "compulsory-dance", "", "1S1"}, rules.ReasonScopeRequired, "Golden Waltz, Tango Romantica"},
		{one{"2011-12", "senior-dance", "free-dance", "", "CuLi4+RoLi4"}, rules.ReasonScopeRequired, "Grand Prix, championships"},
		{one{"2006-07", "senior-dance", "free-dance", "", "NtMiSt2+STw4"}, rules.ReasonElementUnknown, "where its table names both"},
		{one{"2025-26", "senior-men", "free-skating", "", "6Q"}, rules.ReasonCodeInvalid, "a jump is 1 to 5 turns"},
		{one{"2025-26", "senior-men", "free-skating", "", "6F"}, rules.ReasonCodeInvalid, "a jump is 1 to 5 turns"},
		{one{"2025-26", "senior-men", "free-skating", "", "6F<"}, rules.ReasonCodeInvalid, "a jump is 1 to 5 turns"},
		{one{"2025-26", "senior-men", "free-skating", "", "3Lz+3Q"}, rules.ReasonCodeInvalid, "a jump is 1 to 5 turns"},
		{one{"2025-26", "senior-men", "free-skating", "", "3L+3T"}, rules.ReasonCodeInvalid, "a jump is 1 to 5 turns"},
		{one{"2025-26", "senior-men", "free-skating", "", "5A"}, rules.ReasonElementUnknown, "it knows: 1A"},
		{one{"2025-26", "senior-men", "free-skating", "", "WJ"}, rules.ReasonElementUnknown, "in singles"},
		{one{"2025-26", "senior-men", "free-skating", "", "1F1S"}, rules.ReasonElementUnknown, "in singles"},
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
