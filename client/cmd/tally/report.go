package main

import (
	"fmt"
	"time"

	"github.com/schollz/progressbar/v3"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// report prints the results of a file of segments as they come, and how far it
// is when a person watches.
type report struct {
	app             *app
	bar             *progressbar.ProgressBar // nil when nobody watches
	scored, refused int
}

const reportRow = "%6v  %-14s  %-22s  %-18s  %8s  %10s  %10s  %7s\n"

// newReport starts a report over a file of so many bytes; -1 means unknown.
func (a *app) newReport(size int64) *report {
	r := &report{app: a}
	if a.terminal {
		r.bar = progressbar.NewOptions64(size,
			progressbar.OptionSetWriter(a.err),
			progressbar.OptionSetDescription("scoring"),
			progressbar.OptionShowBytes(true),
			progressbar.OptionThrottle(100*time.Millisecond),
			progressbar.OptionSetPredictTime(size > 0),
			progressbar.OptionClearOnFinish(),
		)
	}
	if !a.json {
		fmt.Fprintf(a.out, reportRow, "Record", "Season", "Category", "Segment", "Elements", "Components", "Deductions", "Score")
	}
	return r
}

// result reports a record that was sent.
func (r *report) result(rec *record, result *pb.SegmentResult) {
	r.clear()
	score, err := client.Score(result)
	switch {
	case err != nil:
		r.refused++
	default:
		r.scored++
	}
	req := rec.request
	switch {
	case r.app.json:
		r.app.printJSONLine(r.app.out, result)
	case err != nil:
		r.app.printError(fmt.Sprintf("record %d: ", rec.number), err)
	default:
		fmt.Fprintf(r.app.out, reportRow, rec.number, score.GetRules().GetSeason(), req.GetCategory(), req.GetSegment(),
			score.GetElementScore(), score.GetComponentScore(), score.GetTotalDeductions(), score.GetSegmentScore())
	}
	r.advance(rec.end)
}

// unreadable reports a record that could not be sent.
func (r *report) unreadable(rec *record) {
	r.clear()
	r.refused++
	if r.app.json {
		r.app.printJSONLine(r.app.out, unreadable(rec.err))
	} else {
		fmt.Fprintf(r.app.err, "tally: record %d: %v\n", rec.number, rec.err)
	}
	r.advance(rec.end)
}

// summary says how it went.
func (r *report) summary() {
	r.clear()
	r.app.refused = r.refused > 0
	if !r.app.json {
		fmt.Fprintf(r.app.out, "\n%d scored, %d refused. Unofficial until the event's referee signs.\n", r.scored, r.refused)
	}
}

// clear takes the bar away for a line of output; advance draws it again.
func (r *report) clear() {
	if r.bar != nil {
		_ = r.bar.Clear() // a terminal that takes no more
	}
}

func (r *report) advance(to int64) {
	if r.bar != nil {
		_ = r.bar.Set64(to) // a terminal that takes no more
	}
}

func (r *report) close() {
	if r.bar != nil {
		_ = r.bar.Finish() // a terminal that takes no more
	}
}
