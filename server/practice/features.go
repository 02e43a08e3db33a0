package practice

import (
	"cmp"
	"context"
	"slices"
	"time"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/scoring"
	"github.com/rinktally/rinktally/server/store/books"
)

// maxLevelled is how many attempts are called again for their features.
const maxLevelled = 500

// features are what the levels of an element's attempts came from.
type features struct {
	attempts int32
	counted  map[pb.Feature_Value]int32 // attempts in which it counted
}

// featuresOf calls the newest attempts that say what was skated, each by itself, and
// counts their features by the code that was meant.
func (s *Service) featuresOf(ctx context.Context, key books.Key, since time.Time, by *scale) (map[string]*features, error) {
	kept, err := s.store.Attempts(ctx, key, books.Filter{From: since, WithRest: true}, books.Page{Most: maxLevelled})
	if err != nil {
		return nil, err
	}
	found := map[string]*features{}
	for i := range kept {
		a, err := fromAttempt(&kept[i])
		if err != nil {
			return nil, err
		}
		if a.GetLevel() == nil {
			continue
		}
		called, faults := scoring.LevelsIn(by.season, nil, &pb.CallLevelsRequest{
			Category: by.category, Segment: by.segment, Elements: []*pb.LevelledElement{a.GetLevel()},
		})
		if len(faults) > 0 {
			continue // kept as it was counted; the season may not know it
		}
		of := found[a.GetPlanned()]
		if of == nil {
			of = &features{counted: map[pb.Feature_Value]int32{}}
			found[a.GetPlanned()] = of
		}
		of.add(called.GetElements()[0])
	}
	return found, nil
}

func (f *features) add(e *pb.CalledElement) {
	f.attempts++
	seen := map[pb.Feature_Value]bool{}
	for _, feature := range e.GetFeatures() {
		if feature.GetCounted() && !seen[feature.GetFeature()] {
			seen[feature.GetFeature()] = true
			f.counted[feature.GetFeature()]++
		}
	}
}

// put adds the features to what stands behind an ability.
func (f *features) put(to *pb.AbilityRecord) {
	if f == nil {
		return
	}
	to.Levelled = f.attempts
	for feature, n := range f.counted {
		to.Features = append(to.Features, &pb.FeatureCount{Feature: feature, Attempts: n})
	}
	slices.SortFunc(to.Features, func(a, b *pb.FeatureCount) int {
		return cmp.Or(cmp.Compare(a.GetAttempts(), b.GetAttempts()), cmp.Compare(a.GetFeature(), b.GetFeature()))
	})
}
