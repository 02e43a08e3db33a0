package program_test

import (
	"slices"
	"testing"

	"github.com/rinktally/rinktally/rules/program"
)

// planted are programs with one fault each, made from programs that the rules
// take as they are. The rule behind each finding carries its own source in the
// season's table.
var planted = []struct {
	name, season, category, segment, line string
	code                                  program.Code
	element                               int    // where, or program.Whole
	credited                              string // that element as credited
}{
	// The free program, 2025-26.
	{"eighth jump element", "2025-26", "senior-men", "free-skating", "4Lz, 3A+1Eu+3S, 4T+3T, FCSp3, 4T, 3A+2A+SEQ, 3Lo, 3Lz, 3F, CSSp4, StSq3, ChSq1, CCoSp4", program.TooManyElements, 8, "3F*"},
	{"fourth spin", "2025-26", "senior-women", "free-skating", "3F+3T, 3Lo, 3Lz, 3S, FCSp4, 3Lz+2A+SEQ, 3F+2T, 2A, StSq3, ChSq1, CCoSp4, SSp3, LSp4", program.TooManyElements, 12, "LSp4*"},
	{"second step sequence", "2025-26", "senior-women", "free-skating", "3F+3T, 3Lo, 3Lz, 3S, FCSp4, 3Lz+2A+SEQ, 3F+2T, 2A, StSq3, StSq2, ChSq1, CCoSp4, SSp3", program.TooManyElements, 9, "StSq2*"},
	{"second choreographic sequence", "2025-26", "senior-women", "free-skating", "3F+3T, 3Lo, 3Lz, 3S, FCSp4, 3Lz+2A+SEQ, 3F+2T, ChSq1, StSq3, ChSq1, CCoSp4, SSp3, 2A", program.TooManyElements, 9, "ChSq1*"},
	{"third 2A", "2025-26", "senior-women", "free-skating", "2A, 3Lo, 3Lz, 2A+3T, FCSp4, 3F, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.JumpTooOften, 6, "2A*"},
	{"third 2T, of a combination only that jump", "2025-26", "senior-women", "free-skating", "3Lz+2T, 3F+2T, 3Lo+2T, 2A, FCSp4, 3S, StSq3, ChSq1, CCoSp4, LSp4", program.JumpTooOften, 2, "3Lo+2T*"},
	{"third 3Lz", "2025-26", "senior-women", "free-skating", "3Lz+3T, 3Lz, 2A, 3Lo, FCSp4, 3Lz, StSq3, ChSq1, CCoSp4, LSp4", program.JumpTooOften, 5, "3Lz*"},
	{"second repeat alone", "2025-26", "senior-women", "free-skating", "3Lz, 3Lz, 2A, 3Lo, FCSp4, 3F+2T, StSq3, ChSq1, CCoSp4, LSp4", program.RepeatedAlone, 1, "3Lz+REP"},
	{"three jumps repeated", "2025-26", "senior-women", "free-skating", "3Lz+3T, 3Lz, 3F+3T, 2A, FCSp4, 3F, StSq3, ChSq1, CCoSp4, LSp4", program.TooManyRepeated, 5, "3F*"},
	{"two quadruple jumps repeated", "2025-26", "senior-men", "free-skating", "4T+3T, 4S+2T, 4T, 4S, 3A, FCSp3, 3Lz, CSSp4, StSq3, ChSq1, CCoSp4", program.TooManyRepeatedQuads, 3, "4S*"},
	{"fourth combination", "2025-26", "senior-women", "free-skating", "3Lz+3T, 3F+2T, 2A+2T, 3Lo+2Lo, FCSp4, 3S, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.TooManyCombinations, 3, "3Lo+2Lo*+REP"},
	{"second combination of three jumps", "2025-26", "senior-women", "free-skating", "3Lz+2T+2Lo, 2A+1Eu+3S, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.TooManyLongCombinations, 1, "2A+1Eu+3S*"},
	{"four jumps in a combination", "2025-26", "senior-women", "free-skating", "3Lz+2T+2Lo+2Lo, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.CombinationTooLong, 0, "3Lz+2T+2Lo+2Lo*"},
	{"sequence without an Axel", "2025-26", "senior-women", "free-skating", "3Lz+3S, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.SequenceNotAllowed, 0, "3Lz+COMBO+3S*"},
	// ISU Communication 2176; no published sheet from 2018-19 on has such a sequence.
	{"called sequence without an Axel", "2025-26", "senior-women", "free-skating", "3Lz+3T+SEQ, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.SequenceNotAllowed, 0, "3Lz+SEQ+3T*"},
	{"sequence with the Axel first only", "2021-22", "senior-women", "free-skating", "2A+3T+SEQ, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.SequenceNotAllowed, 0, "2A+SEQ+3T*"},
	{"called sequence in a short program", "2025-26", "senior-women", "short-program", "3Lz+3T+SEQ, 2A, FSSp4, 3Lo, StSq4, LSp4, CCoSp3", program.SequenceNotAllowed, 0, "3Lz+COMBO+3T*"},
	{"sequence of a couple without an Axel", "2023-24", "senior-pairs", "free-skating", "3Tw3, 3T+2T+SEQ, 3S, 3LoTh, FiDs3, ChSq1, 5ALi4, 3STh, 5RLi4, 4Li3, PCoSp3", program.SequenceNotAllowed, 1, "3T+SEQ+2T*"},
	// Published sheets of 2018-19 to 2025-26: every Euler stands second of three.
	{"Euler as the last jump", "2025-26", "senior-women", "free-skating", "3Lz+1Eu, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.EulerMisplaced, 0, "3Lz+1Eu*"},
	{"Euler as the first jump", "2018-19", "senior-women", "free-skating", "1Eu+3S, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.EulerMisplaced, 0, "1Eu*+3S"},
	{"Euler alone", "2021-22", "senior-women", "free-skating", "1Eu, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.EulerMisplaced, 0, "1Eu*"},
	{"a jump behind a break", "2025-26", "senior-women", "free-skating", "3Lz+COMBO+1T, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.AfterBreak, 0, "3Lz+COMBO+1T*"},
	{"no Axel", "2025-26", "senior-women", "free-skating", "3Lz+3T, 3F+2T, 3Lo, 3S, FCSp4, 3Lz, 3F, 3T, StSq3, ChSq1, CCoSp4, LSp4", program.RequiredJumpMissing, 7, "3T*"},
	{"the same spin twice", "2025-26", "senior-women", "free-skating", "3Lz+3T, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, CCoSp3", program.SpinSameCode, 8, "CCoSp3*"},
	{"no flying spin", "2025-26", "senior-women", "free-skating", "3Lz+3T, 3F, 3Lo, CSSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.SpinNotRequired, 8, "LSp4*"},
	{"no spin in one position", "2025-26", "senior-women", "free-skating", "3Lz+3T, 3F, 3Lo, FCCoSp4, 2A, StSq3, ChSq1, CCoSp4, CoSp4", program.SpinNotRequired, 8, "CoSp4*"},
	{"missing spin", "2025-26", "senior-women", "free-skating", "3F+3T, 3Lo, 3Lz, 3S, FCSp4, 3Lz+2A+SEQ, 3F+2T, 2A, StSq3, ChSq1, CCoSp4", program.SpinMissing, program.Whole, ""},
	{"a step sequence for juniors", "2025-26", "junior-women", "free-skating", "3Lz+3T, 3F, 3Lo, FCSp4, 2A, StSq3, ChSq1, CCoSp4, LSp4", program.TooManyElements, 5, "StSq3*"},
	// The short program, 2025-26.
	{"wrong Axel", "2025-26", "senior-women", "short-program", "3Lz+3T, 1A, FSSp4, 3Lo, StSq4, LSp4, CCoSp3", program.WrongAxel, 1, "1A*"},
	{"double as the jump alone", "2025-26", "senior-women", "short-program", "3Lz+3T, 2A, FSSp4, 2Lo, StSq4, LSp4, CCoSp3", program.WrongSoloJump, 3, "2Lo*"},
	{"quadruple jump of a woman", "2025-26", "senior-women", "short-program", "3Lz+3T, 2A, FSSp4, 4S, StSq4, LSp4, CCoSp3", program.WrongSoloJump, 3, "4S*"},
	{"single jump in the combination", "2025-26", "senior-women", "short-program", "3Lz+1T, 2A, FSSp4, 3Lo, StSq4, LSp4, CCoSp3", program.WrongCombinationJump, 0, "3Lz+1T*"},
	{"two doubles in the combination", "2025-26", "senior-women", "short-program", "2Lz+2T, 2A, FSSp4, 3Lo, StSq4, LSp4, CCoSp3", program.TooManyDoubles, 0, "2Lz+2T*"},
	{"three jumps in the combination", "2025-26", "senior-women", "short-program", "3Lz+2T+2Lo, 2A, FSSp4, 3Lo, StSq4, LSp4, CCoSp3", program.CombinationTooLong, 0, "3Lz+2T+2Lo*"},
	{"the same jump twice", "2025-26", "senior-women", "short-program", "3Lo+2T, 2A, FSSp4, 3Lo, StSq4, LSp4, CCoSp3", program.JumpTwice, 3, "3Lo*"},
	{"no combination", "2025-26", "senior-women", "short-program", "3Lz, 2A, FSSp4, 3Lo, StSq4, LSp4, CCoSp3", program.CombinationMissing, 3, "3Lo+COMBO"},
	{"two combinations", "2025-26", "senior-men", "short-program", "4T+3T, 3A, FSSp4, 3Lz+2T, StSq4, CCSp4, CCoSp3", program.TooManyCombinations, 3, "3Lz*+2T*"},
	{"fourth jump element", "2025-26", "senior-men", "short-program", "4T+3T, 3A, FSSp4, 3Lz, 3F, StSq4, CCSp4, CCoSp3", program.TooManyElements, 4, "3F*"},
	{"choreographic sequence in a short program", "2025-26", "senior-men", "short-program", "4T+3T, 3A, FSSp4, 3Lz, ChSq1, StSq4, CCSp4, CCoSp3", program.ElementNotAllowed, 4, "ChSq1*"},
	{"flying and other spin in one position", "2025-26", "senior-men", "short-program", "4T+3T, 3A, FSSp4, 3Lz, StSq4, CSSp4, CCoSp3", program.SpinNotRequired, 5, "CSSp4*"},
	{"man's spin without change of foot", "2025-26", "senior-men", "short-program", "4T+3T, 3A, FSSp4, 3Lz, StSq4, CSp4, CCoSp3", program.SpinNotRequired, 5, "CSp4*"},
	{"too long", "2025-26", "senior-men", "short-program", "4T+3T, 3A, FSSp4, 3Lz, StSq4, CCSp4, CCoSp3", program.TooLong, program.Whole, ""},
	// Juniors with a prescribed jump and spin, 2016-17.
	{"wrong prescribed jump", "2016-17", "junior-women", "short-program", "2A, FCSp4, LSp3, 3Lz+3T, 3F, StSq4, CCoSp3", program.WrongSoloJump, 4, "3F*"},
	{"wrong prescribed spin", "2016-17", "junior-women", "short-program", "2A, FSSp4, LSp3, 3Lz+3T, 3Lo, StSq4, CCoSp3", program.SpinNotRequired, 1, "FSSp4*"},
	// Earlier seasons.
	{"third 3Lz takes the whole combination", "2009-10", "senior-women", "free-skating", "3Lz+2T, 3Lz, 2A, 3Lo, FCSp4, 3Lz+2Lo, SlSt3, SpSq4, CCoSp4, LSp4", program.JumpTooOften, 5, "3Lz*+2Lo*"},
	{"repeated alone is a sequence", "2009-10", "senior-women", "free-skating", "3Lz, 3Lz, 2A, 3Lo, FCSp4, 3F+2T, SlSt3, SpSq4, CCoSp4, LSp4", program.RepeatedAlone, 1, "3Lz+SEQ"},
	{"fourth combination has no value", "2013-14", "senior-men", "free-skating", "4T+3T, 3A+2T, 3A, 3Lz+2T, 3F, 3Lo, 2A+2T, 3S, FCSp4, CSSp4, CCoSp4, StSq3, ChSq1", program.TooManyCombinations, 6, "2A*+2T*"},
	// Novices and couples.
	{"a triple of a basic novice", "2025-26", "basic-novice-girls", "free-skating", "3T, 2Lz, 1A, 2F+2T, CCoSp2, LSp2, StSq1", program.JumpNotAllowed, 0, "3T*"},
	{"a 2A of a basic novice", "2021-22", "basic-novice-boys", "free-skating", "2A, 2Lz, 1A, 2F+2T, CCoSp2, CSp2, StSq1", program.JumpNotAllowed, 0, "2A*"},
	// A national site's pages for events of 2022-23 and for 2024-25.
	{"three jumps in a combination of a novice", "2022-23", "intermediate-novice-girls", "free-skating", "2F+2T+2T, 2Lz, 1A, 2Lo, 2S, CCoSp2, CSp2, StSq1", program.CombinationTooLong, 0, "2F+2T+2T*"},
	{"two doubles repeated by a novice", "2025-26", "basic-novice-girls", "free-skating", "2F+2T, 2Lz+2T, 1A, 2F, CCoSp2, LSp2, StSq1", program.TooManyRepeated, 3, "2F*"},
	{"second jump of an advanced novice", "2024-25", "advanced-novice-girls", "short-program", "2A, 2Lz+2Lo, 2F, CCoSp3, LSp3, StSq3", program.WrongCombinationJump, 1, "2Lz+2Lo*"},
	{"Euler of an advanced novice before the page", "2023-24", "advanced-novice-girls", "short-program", "2A, 2Lz+1Eu, 2F, CCoSp3, LSp3, StSq3", program.EulerMisplaced, 1, "2Lz+1Eu*"},
	{"a level that novices do not have", "2025-26", "advanced-novice-girls", "free-skating", "3T, 2Lz+2T, 2A, 2F, 2Lo, 3S, CCoSp4, LSp2, StSq1", program.LevelCapped, 6, "CCoSp3"},
	{"fourth lift of a couple", "2021-22", "senior-pairs", "free-skating", "3Tw3, 3T+2T, 3S, 3LoTh, FiDs3, ChSq1, 5ALi4, 3STh, 5RLi4, 4Li3, 3Li4, PCoSp3", program.TooManyElements, 10, "3Li4*"},
	{"the same throw twice", "2021-22", "senior-pairs", "free-skating", "3Tw3, 3T+2T, 3S, 3STh, FiDs3, ChSq1, 5ALi4, 3STh, 5RLi4, 4Li3, PCoSp3", program.SameElement, 7, "3STh*"},
	// Every couple of the season's sheets shows the same lift group and death spiral.
	{"lift of another group", "2024-25", "senior-pairs", "short-program", "3Tw3, 3LoTh, 3S, BoDs3, CCoSp4, StSq3, 3Li4", program.ElementNotAllowed, 6, "3Li4*"},
	{"another death spiral", "2025-26", "senior-pairs", "short-program", "3Tw3, 3LoTh, 3S, FiDs3, CCoSp4, StSq3, 5ALi4", program.ElementNotAllowed, 3, "FiDs3*"},
	{"spin without change of foot", "2023-24", "senior-pairs", "short-program", "3Tw3, 3LoTh, 3S, FiDs3, CoSp4, StSq3, 3Li4", program.SpinNotRequired, 4, "CoSp4*"},
	{"two jumps alone", "2014-15", "senior-pairs", "free-skating", "3Tw3, 3S, 2A, 3LoTh, FiDs3, ChSq1, 5ALi4, 3STh, 5RLi4, 4Li3, PCoSp3p3, CCoSp3p3", program.CombinationMissing, 2, "2A+REP"},
	{"pattern element of the juniors", "2019-20", "senior-dance", "rhythm-dance", "1TTF2, PStL3+PStM3, MiSt3, SqTwL4+SqTwM3, RoLi4", program.ElementNotAllowed, 0, "1TTF2*"},
	{"no choreographic rhythm sequence", "2025-26", "senior-dance", "rhythm-dance", "PSt3, MiStW3+MiStM2, SqTwW4+SqTwM3, RoLi4", program.ElementMissing, program.Whole, ""},
	{"synchronized twizzles in a rhythm dance", "2024-25", "senior-dance", "rhythm-dance", "PSt3, ChRS1, MiStW3+MiStM2, SyTwW4+SyTwM3, RoLi4", program.ElementNotAllowed, 3, "SyTwW4*+SyTwM3*"},
	{"a combination lift and two short ones", "2024-25", "senior-dance", "free-dance", "DSp4, SlLi4+RoLi4, OFTW3+OFTM3, CiStW3+CiStM3, ChSt1, CuLi4, SyTwW4+SyTwM4, ChTw1, ChSl1, StaLi4", program.TooManyElements, 9, "StaLi4*"},
	{"the same choreographic element twice", "2021-22", "senior-dance", "free-dance", "CoSp4, SlLi4+RoLi4, OFStW3+OFStM3, CiSt3, ChSt1, CuLi4, SyTwW4+SyTwM4, ChSt1, ChLi1", program.SameElement, 7, "ChSt1*"},
}

func TestPlantedFaultsAreFound(t *testing.T) {
	catalog := load(t)
	for _, c := range planted {
		t.Run(c.name, func(t *testing.T) {
			got := check(t, catalog, c.season, c.category, c.segment, c.line, 175)
			at := slices.IndexFunc(got.Findings, func(f program.Finding) bool { return f.Code == c.code && f.Element == c.element })
			if at < 0 {
				t.Fatalf("%s at %d was not found; found: %s", c.code, c.element, findings(got))
			}
			f := got.Findings[at]
			if f.Rule == "" || f.Source == "" || f.Message == "" {
				t.Errorf("the finding lacks its rule, source or message: %+v", f)
			}
			if c.element != program.Whole && got.Elements[c.element].Code != c.credited {
				t.Errorf("credited as %s, want %s", got.Elements[c.element].Code, c.credited)
			}
			for i, e := range got.Elements {
				if i != c.element && slices.Contains([]byte(e.Code), '*') {
					t.Errorf("%s (element %d) lost value too: %s", e.Code, i+1, findings(got))
				}
			}
		})
	}
	t.Logf("%d planted faults", len(planted))
}
