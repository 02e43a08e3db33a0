package events_test

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/config"
)

// BenchmarkMarkBesideReaders measures a judge's mark beside a crowd behind one address
// that asks for papers again as soon as it has them or is refused, and without the
// crowd, in turns; also where no limit holds the crowd up.
func BenchmarkMarkBesideReaders(b *testing.B) {
	for _, readers := range []int{16, 256} {
		b.Run(fmt.Sprintf("%d", readers), func(b *testing.B) { benchReaders(b, readers) })
		b.Run(fmt.Sprintf("%d-unlimited", readers), func(b *testing.B) {
			benchReaders(b, readers, func(c *config.Config) { c.ReadRate = 0 })
		})
	}
}

func benchReaders(b *testing.B, readers int, change ...func(*config.Config)) {
	b.Helper()
	const turn, between = 50, 20 * time.Millisecond // marks
	s := start(b, change...)
	m := newMarking(b, s)
	var r paperReaders
	for _, document := range []string{"STARTING_ORDER", "SEGMENT_RESULT", "SCORE_SHEETS", "FINAL_RESULT"} {
		segment := ""
		if document != "FINAL_RESULT" {
			segment = "?segment=" + m.request.GetSegment()
		}
		r.papers = append(r.papers, fmt.Sprintf("http://%s/v1/events/%s/categories/%s/documents/%s%s",
			s.HTTPAddr(), m.event, m.request.GetCategory(), document, segment))
	}
	marks := func() []time.Duration {
		took := make([]time.Duration, turn)
		for i := range took {
			begun := time.Now()
			m.mark()
			took[i] = time.Since(begun)
			time.Sleep(between)
		}
		return took
	}
	marks()
	var alone, beside []time.Duration
	for b.Loop() {
		alone = append(alone, marks()...)
		stop := r.read(readers)
		time.Sleep(time.Second)
		beside = append(beside, marks()...)
		stop()
	}
	b.StopTimer()
	slices.Sort(alone)
	slices.Sort(beside)
	median := func(list []time.Duration) float64 { return float64(list[len(list)/2].Microseconds()) / 1000 }
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(median(alone), "ms/mark-alone")
	b.ReportMetric(median(beside), "ms/mark")
	b.ReportMetric(median(beside)/median(alone), "of-alone")
	b.ReportMetric(float64(r.got.Load())/float64(b.N), "papers")
	b.ReportMetric(float64(r.refused.Load())/float64(b.N), "refusals")
	if r.failed.Load() > 0 {
		b.Errorf("%d calls failed otherwise", r.failed.Load())
	}
}

// paperReaders is a crowd that asks for papers in a loop.
type paperReaders struct {
	papers []string

	got, refused, failed atomic.Int64
}

// read lets so many readers begin. The result ends them.
func (r *paperReaders) read(readers int) (stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: readers}}
	var reading sync.WaitGroup
	for i := range readers {
		reading.Go(func() {
			for n := i; ctx.Err() == nil; n++ {
				r.ask(ctx, client, r.papers[n%len(r.papers)])
			}
		})
	}
	return func() {
		cancel()
		reading.Wait()
		client.CloseIdleConnections()
	}
}

func (r *paperReaders) ask(ctx context.Context, client *http.Client, paper string) {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, paper, nil)
	if err != nil {
		panic(err)
	}
	res, err := client.Do(req)
	if err != nil {
		if ctx.Err() == nil {
			r.failed.Add(1)
		}
		return
	}
	defer func() { _ = res.Body.Close() }()
	_, _ = io.Copy(io.Discard, res.Body)
	switch res.StatusCode {
	case http.StatusOK:
		r.got.Add(1)
	case http.StatusTooManyRequests:
		r.refused.Add(1)
	default:
		r.failed.Add(1)
	}
}
