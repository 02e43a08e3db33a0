package rules

import (
	"errors"
	"math/big"
	"strings"
	"testing"
)

func TestParsePointsIsExact(t *testing.T) {
	for in, want := range map[string]Points{
		"12.43": 1243, "-1.00": -100, "0.00": 0, "0.5": 50, "7": 700, "+0.05": 5, "-0.05": -5, "1000.10": 100010,
	} {
		got, err := ParsePoints(in)
		if err != nil || got != want {
			t.Errorf("ParsePoints(%q) = %d, %v; want %d", in, got, err, want)
		}
	}
	for _, in := range []string{"", ".", "-", "1.", "1.234", "1,5", "1e3", " 1", "0x1", "NaN", "99999999999", "--1", "1.2.3"} {
		if got, err := ParsePoints(in); err == nil {
			t.Errorf("ParsePoints(%q) = %v, want an error", in, got)
		}
	}
}

func TestParsePointsSaysWhy(t *testing.T) {
	for in, why := range map[string]string{
		"": "it is empty", "1,5": "it has a comma", "1.234": "more than two decimals", "1e3": "'e' is no digit",
		"--1": "'-' is no digit", "1.2.3": "two points", "-": "digits are missing", "3.": "digits are missing", "99999999999": "too large",
	} {
		_, err := ParsePoints(in)
		if !errors.Is(err, ErrPoints) || !strings.Contains(err.Error(), why) || !strings.Contains(err.Error(), "allowed are digits") {
			t.Errorf("ParsePoints(%q) says %v; want it to say %q and what is allowed", in, err, why)
		}
	}
}

// The first case is printed on published sheets: 3A+REP in the second half,
// 8.5 x 0.7 x 1.1 = 6.545, printed 6.55.
func TestRoundDivIsHalfUp(t *testing.T) {
	for _, c := range []struct{ num, den, want int64 }{
		{850 * 70 * 110, 10000, 655}, {1, 2, 1}, {-1, 2, -1}, {-655, 10, -66}, {654, 10, 65}, {4664, 10, 466}, {0, 7, 0},
	} {
		if got := RoundDiv(c.num, c.den); got != c.want {
			t.Errorf("RoundDiv(%d, %d) = %d, want %d", c.num, c.den, got, c.want)
		}
	}
}

func FuzzPoints(f *testing.F) {
	for _, s := range []string{"12.43", "-0.05", "7", "1.2", "", "9.999", "-"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParsePoints(s)
		if err != nil {
			return
		}
		// An exact decimal library is the oracle.
		want, ok := new(big.Rat).SetString(s)
		if !ok || want.Mul(want, big.NewRat(100, 1)).Cmp(big.NewRat(int64(p), 1)) != 0 {
			t.Fatalf("ParsePoints(%q) = %d", s, p)
		}
		again, err := ParsePoints(p.String())
		if err != nil || again != p {
			t.Fatalf("%d prints %q, which reads %d, %v", p, p.String(), again, err)
		}
	})
}
