package element

import "testing"

// The letters are those of the published scales of values.
func TestDescribe(t *testing.T) {
	for code, want := range map[string]string{
		"3Lz":           "triple Lutz",
		"3Lz+2T":        "triple Lutz + double toe loop",
		"3Lz+2A+SEQ":    "triple Lutz + double Axel as a jump sequence",
		"3Lz+3T<":       "triple Lutz + triple toe loop, second jump under-rotated",
		"1Eu":           "Euler",
		"4T<":           "quadruple toe loop, under-rotated",
		"3F!<<":         "triple flip, unclear edge, downgraded",
		"3F!<+2A*+SEQ":  "triple flip + double Axel as a jump sequence, first jump unclear edge and under-rotated, second jump no value",
		"3F<+COMBO":     "triple flip, under-rotated, combination not completed",
		"SqTwW4+SqTwM3": "SqTwW, level 4 + SqTwM, level 3",
		"2A+REP":        "double Axel, repeated",
		"CCoSp4":        "change foot combination spin, level 4",
		"FCCoSp4":       "change foot combination spin with flying entrance, level 4",
		"CSp3":          "camel spin, level 3",
		"CCSp3":         "change foot camel spin, level 3",
		"FCSp2":         "camel spin with flying entrance, level 2",
		"FSSp4V":        "sit spin with flying entrance, level 4, reduced value (V)",
		"LSpB":          "layback spin, basic level",
		"CoSp4":         "combination spin, level 4",
		"StSq3":         "step sequence, level 3",
		"CiSt2":         "circular step sequence, level 2",
		"ChSq1":         "choreographic sequence, level 1",
		"3STh":          "throw triple Salchow",
		"3Tw2":          "triple twist lift, level 2",
		"BoDs4":         "backward outside death spiral, level 4",
		"2Lz*":          "double Lutz, no value",
	} {
		e, err := Parse(code)
		if err != nil {
			t.Fatal(err)
		}
		if got := e.Describe(); got != want {
			t.Errorf("%s: %q, want %q", code, got, want)
		}
	}
}
