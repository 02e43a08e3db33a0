package program_test

import (
	"testing"

	"github.com/rinktally/rinktally/rules/program"
)

// clean are programs that published ISU score sheets credit as they were
// called, with the sum of the sheet's base values. The sheet is named by its
// event and rank in the open protocol data.
var clean = []struct{ season, category, segment, sheet, line, base string }{
	{"2005-06", "senior-men", "free-skating", "2005-06-e08 rank 3", "4S, 3F+3T+2T, 3A+3T, CCoSp4, 3A, 3S x, CSSp3, 3Lz x, 3Lo x, 2A x, FSSp3, SlSt1, CiSt1, FSSp3", "73.80"},
	{"2006-07", "senior-women", "short-program", "2006-07-e02 rank 3", "3Lz+2T, 3F, FSSp3, SpSq4, SlSt3, CCoSp3, 2A, LSp3", "30.30"},
	{"2008-09", "senior-men", "free-skating", "2008-09-e01 rank 3", "3A+3T, 2Lz, 3F, CCoSp4, SSp4, CiSt3, 3A x, 3Lo x, FSSp4, SlSt3, 3S+3T x, 2A x, 2A+2T+2T x", "69.63"},
	{"2009-10", "senior-women", "free-skating", "2009-10-e03 rank 3", "3Lz+2T+2Lo<, 2A+2T, 3F, FSSp4, LSp4, SpSq3, 3Lz x, 3Lo+2T< x, 2A x, 3T x, CiSt3, CCoSp4", "54.49"},
	{"2010-11", "senior-women", "free-skating", "2010-11-e01 rank 3", "3T+3T, 3Lz, 3Lo, FSSp2, 3F+2T, CCoSp3, ChSp1, 2S+2T+2Lo x, 2A x, 3F x, SlSt1, FCCoSp3", "52.62"},
	{"2011-12", "senior-men", "short-program", "2011-12-e05 rank 3", "4T, 3Lz+2T, 3A, FUSp3, CSSp4, SlSt3, CCoSp4", "38.30"},
	{"2012-13", "senior-men", "free-skating", "2012-13-e04 rank 3", "4T, 3A, 3A+2T, FCSp3, StSq3, 3T+2T x, 3F x, 2A+2T+2T x, 3Lo x, 3S x, ChSq1, CCoSp3, CSSp3", "70.79"},
	{"2013-14", "senior-men", "free-skating", "2013-14-e01 rank 3", "4T+3T, 4T, 3A, 3Lz, 3A+2T, FSSp4, 3S x, 3Lo+2T+2T x, FCCoSp1, StSq3, 2A x, CCoSp4, ChSq1", "79.52"},
	{"2014-15", "senior-women", "free-skating", "2014-15-e01 rank 3", "3Lz+3T, 3Lo+1Lo+3S, CCoSp3p3, StSq3, 3F x, 3Lz x, 2A x, 2A x, 3Lo+2T x, FCSp4, LSp4, ChSq1", "60.83"},
	{"2015-16", "senior-men", "short-program", "2015-16-e02 rank 3", "4T, CCoSp3p4, FCSp4, 3A x, 3Lz+3T x, CSSp, StSq4", "41.58"},
	{"2016-17", "junior-men", "short-program", "2016-17-e05 rank 3", "3A, 3Lz+3T, FCSp4, StSq3, 3Lo x, CSSp4, CCoSp4V", "36.91"},
	{"2016-17", "senior-men", "short-program", "2016-17-e01 rank 3", "3A, 4T, CCoSp4, 3F+3T x, FCSp3, StSq4, CSSp3", "42.16"},
	{"2016-17", "senior-women", "free-skating", "2016-17-e01 rank 3", "3Lz, 3F, 2A, StSq4, FCCoSp4, 3Lz+3T< x, 3Lo+1Lo+3S x, ChSq1, 3Lo+2T x, 2A x, CCoSp4, LSp4", "61.77"},
	{"2017-18", "junior-women", "free-skating", "2017-18-e05 rank 3", "3Lz+3T, CCoSp4, StSq4, 3Lz+1Lo+3S x, 3F+2T x, 3Lo x, 3F x, 2A x, 2A x, FCCoSp4, LSp4", "61.85"},
	{"2017-18", "senior-men", "free-skating", "2017-18-e03 rank 3", "4Lz, 4T, 3A, FCSp3, StSq3, 3Lz+3T x, 3A<+2T x, 3Lz x, 3Lo x, 2A x, ChSq1, CCoSp3V, CSSp3", "80.69"},
	{"2021-22", "senior-dance", "free-dance", "2021-22-e01 rank 3", "CoSp4, SlLi4+RoLi4, OFStW3+OFStM3, CiSt3, ChSt1, CuLi4, SyTwW4+SyTwM4, ChTw1, ChLi1", "45.84"},
	{"2021-22", "senior-men", "free-skating", "2021-22-e01 rank 4", "4Lz!, 4F, 4Lo+1Eu+3S, 3A, CSSp4, 3Lz+3T x, 3F+3T< x, 3Lz x, FCCoSp4, StSq4, ChSq1, CCoSp4", "89.83"},
	{"2021-22", "senior-pairs", "free-skating", "2021-22-e01 rank 8", "3Tw3, 3T+2T+2Tq, 3S, 3LoTh, FiDs3, ChSq1, 5ALi4, 3STh, 5RLi4, 4Li3, PCoSp3V", "54.40"},
	{"2021-22", "senior-pairs", "short-program", "2021-22-e01 rank 3", "3Tw4, 3FTh, 3S, BoDs4, FCCoSp4, StSq4, 4Li4", "32.80"},
	{"2021-22", "senior-women", "short-program", "2021-22-e01 rank 6", "3A<<, 3Lz+3T, FCSp4, LSp4, 3F! x, StSq4, CCoSp4", "32.53"},
	{"2025-26", "senior-men", "free-skating", "2025-26-e01 rank 3", "3A+1Eu+4Sq, 4Lz, 4F!, FCSp3, ChSq1, 3F!, CCoSp3, 4T+3T x, 3Lz+3A<+SEQ x, 4T< x, StSq3, CSSp3", "97.66"},
	{"2025-26", "senior-men", "short-program", "2025-26-e01 rank 3", "4Lz<+3T, 3A, CCoSp3, 4T x, FCSp3, StSq2, CSSp4", "43.25"},
	{"2025-26", "senior-women", "free-skating", "2025-26-e01 rank 3", "3F+3T, 3Lo, 3Lz, 3S, FCSp4, 3Lz+2A+2T+SEQ x, 3F<+2T x, 2A x, StSq3, ChSq1, CCoSp4, SSp3", "60.97"},
	{"2025-26", "senior-women", "short-program", "2025-26-e01 rank 3", "3A, 3F+3T, FSSp4, 3Lo x, StSq4, LSp4, CCoSp3", "35.49"},
}

func TestCleanProgramsHaveNoFinding(t *testing.T) {
	catalog := load(t)
	for _, c := range clean {
		t.Run(c.sheet+" "+c.category+" "+c.segment, func(t *testing.T) {
			got := check(t, catalog, c.season, c.category, c.segment, c.line, 0)
			for _, f := range got.Findings {
				if f.Severity > program.Info {
					t.Errorf("a false finding: %s %s", f.Code, f.Message)
				}
			}
			planned, err := program.ParseLine(c.line)
			if err != nil {
				t.Fatal(err)
			}
			for i, e := range got.Elements {
				if e.Code != planned[i].Code {
					t.Errorf("%s came back as %s", planned[i].Code, e.Code)
				}
			}
			if got.Base.String() != c.base {
				t.Errorf("base value %v, the sheet has %s", got.Base, c.base)
			}
			again := check(t, catalog, c.season, c.category, c.segment, c.line, 0)
			if findings(again) != findings(got) {
				t.Error("a second check answers otherwise")
			}
		})
	}
	t.Logf("%d clean programs", len(clean))
}
