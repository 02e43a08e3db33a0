package element

import (
	"strings"
	"testing"
)

// The codes are taken from published sheets of 2005-06 to 2025-26.
func TestMeant(t *testing.T) {
	for _, code := range []string{
		"3Lz", "3Lz+3T", "3F!<", "3Lze<", "4Tq", "2A+1Eu+3S", "3Lz+2A+SEQ", "3T+REP", "3Lz+COMBO*", "2A*",
		"CCoSp4", "CCoSp4V", "FCSp3", "LSp3", "USpB", "FSSp2", "CCoSp3p1V1", "PCoSp4", "StSq3", "ChSq1", "SlSt2", "CiSt1", "SpSq4",
		"5ALi4", "3Tw2", "BoDs4", "FiDs3", "3LoTh", "3STh", "3FTh<", "SqTwW4+SqTwM3", "StaLi4", "CuLi4+RoLi4", "NtMiSt2", "DiSt3",
	} {
		if e, err := Parse(code); err != nil || e.String() != code {
			t.Fatalf("%s is no code of this test: %v", code, err)
		}
		small := strings.ToLower(code)
		if got := Meant(small); got != code {
			t.Errorf("Meant(%q) is %q, want %s", small, got, code)
		}
		if _, err := Parse(small); err == nil || !strings.HasSuffix(err.Error(), "; did you mean "+code+"?") {
			t.Errorf("Parse(%q): %v", small, err)
		}
	}
	for _, text := range []string{"", "3lx", "abc", "6lz", "1fs", "3Lz", "3lz+", "+3t", "wj", "3lz$", strings.Repeat("3t+", 30)} {
		if got := Meant(text); got != "" {
			t.Errorf("Meant(%q) is %q", text, got)
		}
		if _, err := Parse(text); err != nil && strings.Contains(err.Error(), "did you mean") {
			t.Errorf("Parse(%q): %v", text, err)
		}
	}
}
