package element

import (
	"errors"
	"strings"
	"testing"
)

// The codes are taken from published sheets of 2005-06 to 2025-26, or are those
// codes with the signs written in another order.
func TestParsePrintsCanonicalForm(t *testing.T) {
	for in, want := range map[string]string{
		"3Lz+3T":              "3Lz+3T",
		"3F<!":                "3F!<",
		"3Lz<e":               "3Lze<",
		"3Lze<<":              "3Lze<<",
		"3F!q":                "3F!q",
		"4Tq":                 "4Tq",
		"2A+1Eu+3S":           "2A+1Eu+3S",
		"3Lz+2A+SEQ":          "3Lz+2A+SEQ",
		"3A+SEQ+1T*":          "3A+SEQ+1T*",
		"3F<+COMBO+2T*":       "3F<+COMBO+2T*",
		"3Lz+COMBO*":          "3Lz+COMBO*",
		"2A+3T*+REP":          "2A+3T*+REP",
		"3Lo*<":               "3Lo<*",
		"3S*+2Lo<*+2Lo<*":     "3S*+2Lo<*+2Lo<*",
		"FCoSp1*":             "FCoSp1*",
		"CCoSp4V":             "CCoSp4V",
		"CCoSp3p1V1":          "CCoSp3p1V1",
		"FCSpBV1":             "FCSpBV1",
		"CCoSp":               "CCoSp",
		"Lz":                  "Lz",
		"StSqB":               "StSqB",
		"ChSq1":               "ChSq1",
		"SqTwW4+SqTwM3":       "SqTwW4+SqTwM3",
		"5ALi4":               "5ALi4",
		"3Tw2":                "3Tw2",
		"3TwB<<":              "3TwB<<",
		"3LoTh":               "3LoTh",
		"3ATh<":               "3ATh<",
		"BoDs4":               "BoDs4",
		"GW1Sq2Se1":           "GW1Sq2Se1",
		"1FS3+kpYNY":          "1FS3+kpYNY",
		"1TTF2+kpNYYY<":       "1TTF2+kpNYYY<",
		"2S1":                 "2S1",
		"CuLi4+RoLi4":         "CuLi4+RoLi4",
		"Li+TRANS":            "Li+TRANS",
		"RoLi*+EXEL":          "RoLi*+EXEL",
		"ChSt1+ExEl":          "ChSt1+EXEL",
		"SqTwL4+SqTwM3":       "SqTwL4+SqTwM3",
		"Sp":                  "Sp",
		"NtMiSt2+FSTw4":       "NtMiSt2+FSTw4",
		"CCoSp4*V":            "CCoSp4V*",
		"CCoSp3**":            "CCoSp3*",
		"3F+2Lo<<+2Lo<<":      "3F+2Lo<<+2Lo<<",
		"PCoSp3p4":            "PCoSp3p4",
		"3Lzq+COMBO+1T*":      "3Lzq+COMBO+1T*",
		"1Lo+1Lo+1Lo+1Lo+1Lo": "1Lo+1Lo+1Lo+1Lo+1Lo",
	} {
		e, err := Parse(in)
		if err != nil {
			t.Errorf("Parse(%q): %v", in, err)
			continue
		}
		if got := e.String(); got != want {
			t.Errorf("Parse(%q) prints %q, want %q", in, got, want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for in, say := range map[string]string{
		"":                               "empty",
		"+":                              "beside a +",
		"3Lz+":                           "beside a +",
		"3Lz++3T":                        "beside a +",
		"3Tee":                           "two edge",
		"3Lz<<<":                         "two rotation",
		"3Lzq<":                          "two rotation",
		"3Te":                            "edge sign",
		"3Lz#":                           "not a sign",
		"3Lzé":                           "not a sign",
		"CCoSp4<":                        "rotation sign",
		"3Lz+CCoSp4":                     "joined",
		"CCoSpV":                         "no level",
		"CCoSp4VV":                       "no level right before",
		"SEQ":                            "nothing stands before",
		"COMBO+3T":                       "nothing stands before",
		"3T+SEQ+SEQ":                     "twice",
		"xyz":                            "no jump",
		strings.Repeat("3T+", 40) + "3T": "at most",
		"1T+1T+1T+1T+1T+1T+1T":           "more than 5",
		"CCoSp4+REP":                     "follow",
		"1FS1+kpYYY+1FS2":                "key points",
		"SlLi4+RoLi4+CuLi4":              "at most two",
		"3T+TRANS":                       "follow",
	} {
		e, err := Parse(in)
		if !errors.Is(err, ErrCode) {
			t.Errorf("Parse(%q) = %q, %v; want ErrCode", in, e.String(), err)
			continue
		}
		if !strings.Contains(err.Error(), say) {
			t.Errorf("Parse(%q): %v; want it to say %q", in, err, say)
		}
	}
}

func TestParseReadsParts(t *testing.T) {
	e, err := Parse("3Lz!<+1Eu+3S*+REP")
	if err != nil {
		t.Fatal(err)
	}
	p := e.Parts()
	if len(p) != 3 || p[0].Turns != 3 || p[0].Name() != "Lz" || p[0].Edge != '!' || p[0].Rotation != UnderRotated || p[0].Text != "3Lz!<" {
		t.Errorf("first part: %+v", p[0])
	}
	if !p[2].NoValue || p[2].Text != "3S" || !e.Has(REP) || e.Has(SEQ) || e.NoValue() {
		t.Errorf("last part: %+v", p[2])
	}
	for code, want := range map[string]Kind{
		"3A": Jump, "CCoSp4": Spin, "StSq3": Step, "SlSt2": Step, "SpSq4": Spiral, "SpSt3": Spiral, "ChSq1": Choreo,
		"ChSp1": Choreo, "2STh": Throw, "3Tw4": Twist, "2LzTw3": Twist, "5SLi2": Lift, "FiDs1": DeathSpiral,
		"1FS4": Pattern, "1S1": Pattern, "1BL": Pattern, "1Li": Lift, "3Tw": Twist, "1W": Other, "6Q": Other, "PSt3": Step, "STw4": Twizzle, "SqTwW4": Twizzle, "OFTM2": Twizzle, "MiStW3": Step, "MiStNt2": Step,
	} {
		e, err := Parse(code)
		if err != nil || e.Kind() != want {
			t.Errorf("kind of %s is %v (%v), want %v", code, e.Kind(), err, want)
		}
	}
}

func TestParseCanonicalAllocatesNothing(t *testing.T) {
	codes := []string{"3Lz+3T", "2A+1Eu+3S", "3F!<", "CCoSp4V", "StSq3", "3Lz+2A+SEQ"}
	if n := testing.AllocsPerRun(100, func() {
		for _, c := range codes {
			if _, err := Parse(c); err != nil {
				t.Fatal(err)
			}
		}
	}); n != 0 {
		t.Errorf("parsing canonical codes allocates %v times", n)
	}
}

// FuzzParse checks that nothing crashes and that what is read prints to a form
// that reads back as itself.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"3Lz+3T", "3F<!", "CCoSp3p4V1*", "SqTwW4+SqTwM3", "1FS3+kpYNY", "2A+3T*+REP", "3Lz+COMBO*", "", "+", "3TwB<<"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		e, err := Parse(s)
		if err != nil {
			return
		}
		printed := e.String()
		again, err := Parse(printed)
		if err != nil {
			t.Fatalf("%q printed as %q, which does not read: %v", s, printed, err)
		}
		if again.String() != printed {
			t.Fatalf("%q printed as %q, then as %q", s, printed, again.String())
		}
	})
}
