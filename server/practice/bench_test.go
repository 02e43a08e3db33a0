package practice_test

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/practice"
	"github.com/rinktally/rinktally/server/store/sqlite"
	"github.com/rinktally/rinktally/server/tables"
)

// BenchmarkManyAttempts is what a page asks for of a skater with 100,000 attempts and
// five changes, from a file.
func BenchmarkManyAttempts(b *testing.B) {
	kept, err := sqlite.OpenBooks(b.Context(), filepath.Join(b.TempDir(), "practice.db"))
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = kept.Close() }()
	t, err := tables.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	s, ctx := practice.New(kept, t, func() time.Time { return now }), b.Context()
	check := func(err error) {
		if err != nil {
			b.Fatal(err)
		}
	}
	made, err := s.CreateBook(ctx, &pb.CreateBookRequest{Title: "Ice club"})
	check(err)
	id, skater := made.GetBook().GetBook(), "1"
	_, err = s.AddSkater(ctx, &pb.AddSkaterRequest{Book: id, Name: "Mira", Season: "2025-26", Category: "senior-women"})
	check(err)
	codes := []string{"3Lz", "3F", "3Lo", "3S", "3T+3T", "2A", "CCoSp4", "LSp3", "StSq3", "3S+2A+SEQ"}
	for range 100 {
		list := make([]*pb.Attempt, 1000)
		for i := range list {
			list[i] = &pb.Attempt{
				Planned: codes[i%len(codes)], Cause: []string{"timing", "axis", ""}[i%3], Fall: i%7 == 0,
				Time: timestamppb.New(now.Add(-time.Duration(i) * time.Hour)),
			}
		}
		_, err = s.AddAttempts(ctx, &pb.AddAttemptsRequest{Book: id, Skater: skater, Attempts: list})
		check(err)
	}
	for i := range 5 {
		_, err = s.AddChange(ctx, &pb.AddChangeRequest{Book: id, Skater: skater, Text: fmt.Sprint(i), Time: timestamppb.New(now.AddDate(0, 0, -5*i))})
		check(err)
	}
	b.Run("abilities", func(b *testing.B) {
		for b.Loop() {
			_, err := s.GetAbilities(ctx, &pb.GetAbilitiesRequest{Book: id, Skater: skater})
			check(err)
		}
	})
	b.Run("first page", func(b *testing.B) {
		for b.Loop() {
			_, err := s.ListAttempts(ctx, &pb.ListAttemptsRequest{Book: id, Skater: skater})
			check(err)
		}
	})
}
