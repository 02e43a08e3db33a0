package bookstest

import (
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store/books"
)

// many is how many attempts a skater has in the benchmarks.
const many = 100_000

// RunBenchmark measures what the page of a skater with very many attempts asks for.
func RunBenchmark(b *testing.B, place Place) {
	s, key := begun(b, place)
	codes := []string{"3Lz", "3F", "3Lo", "3S", "3T+3T", "2A", "CCoSp4", "LSp3", "StSq3", "3S+2A+SEQ"}
	for range many / 1000 {
		list := tried("", 1000)
		for i := range list {
			list[i].Planned, list[i].Time = codes[i%len(codes)], start.Add(time.Duration(i)*time.Hour)
		}
		add(b, s, key, list)
	}
	for name, do := range map[string]func() error{
		"first page": func() error { return second(s.Attempts(b.Context(), key, books.Filter{}, books.Page{Most: 100})) },
		"skaters":    func() error { return second(s.Skaters(b.Context(), id)) },
		"count":      func() error { return s.Count(b.Context(), key, time.Time{}, func(time.Time, *books.Outcome) {}) },
		"add one":    func() error { return second(s.AddAttempts(b.Context(), key, books.Request{At: start}, tried("", 1))) },
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				check(b, do())
			}
		})
	}
}
