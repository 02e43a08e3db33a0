package plan

import (
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// skater can do 25 elements of a senior woman, as often as they come: invented.
func skater(segment string) *Request {
	r := &Request{
		Category: "senior-women", Segment: segment, Plans: 3, SecondHalf: SecondHalf{Success: 950_000, Grade: -20},
		Components: map[string]rules.Points{"COMPOSITION": 750, "PRESENTATION": 725, "SKATING_SKILLS": 750},
	}
	for _, a := range []struct {
		code    string
		success Chance // of 100
		grade   rules.Points
	}{
		{"3Lz", 80, 120}, {"3F", 78, 100}, {"3Lo", 82, 90}, {"3S", 88, 110}, {"3T", 92, 110}, {"2A", 95, 130}, {"3A", 35, 20}, {"2Lz", 97, 100},
		{"3Lz+3T", 55, 80}, {"3Lz+2T", 75, 70}, {"3F+3T", 50, 60}, {"3F+2T", 72, 70}, {"3S+2T", 82, 60}, {"2A+3T", 66, 80},
		{"2A+1Eu+3S", 60, 50}, {"3Lz+2A+SEQ", 48, 40}, {"3Lo+2T", 70, 40},
		{"CCoSp4", 70, 200}, {"FCSp4", 75, 150}, {"LSp4", 80, 180}, {"CSSp4", 60, 100}, {"FSSp3", 90, 100},
		{"StSq4", 30, 150}, {"StSq3", 85, 120}, {"ChSq1", 100, 100},
	} {
		r.Abilities = append(r.Abilities, Ability{Code: a.code, Success: a.success * onePoint, Grade: a.grade, Attempts: 40})
	}
	return r
}

func season(t testing.TB, key string) *rules.Season {
	t.Helper()
	catalog, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	s, err := catalog.Season(key)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func never() bool { return false }

// prepared is a planner that is ready to search.
func prepared(t testing.TB, s *rules.Season, req *Request) *planner {
	t.Helper()
	p, faults := newPlanner(s, req)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	p.stop = never
	p.prepare()
	return p
}

// BenchmarkSearch finds three proven plans of 25 abilities; BenchmarkWhole adds the
// reading of the request, the joint outcomes and what practice is worth.
func BenchmarkSearch(b *testing.B) {
	s := season(b, "2025-26")
	for _, segment := range []string{"free-skating", "short-program"} {
		b.Run(segment, func(b *testing.B) {
			p := prepared(b, s, skater(segment))
			for b.Loop() {
				p.known = map[cluster]micro{} // nothing is known from the run before
				if found, faults := p.search(); len(faults) > 0 || !found.proven || len(found.programs) != 3 {
					b.Fatal("no proven plans", faults)
				}
			}
		})
	}
}

func BenchmarkWhole(b *testing.B) {
	s := season(b, "2025-26")
	for _, segment := range []string{"free-skating", "short-program"} {
		b.Run(segment, func(b *testing.B) {
			for b.Loop() {
				p, faults := Read(s, skater(segment))
				if len(faults) > 0 {
					b.Fatal(faults)
				}
				if r, faults := p.Best(never); len(faults) > 0 || !r.Optimal {
					b.Fatal("no proven plans", faults)
				}
			}
		})
	}
}
