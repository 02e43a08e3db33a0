package main

import (
	"bufio"
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
	out             *bufio.Writer
	bar             *progressbar.ProgressBar // nil when nobody watches
	drawn           time.Time                // when the bar was drawn last
	scored, refused int
}

const reportRow = "%6v  %-14s  %-22s  %-18s  %8s  %10s  %10s  %7s\n"

// The bar is drawn so often; results wait for it, so that the two do not fight
// for the last line of the screen.
const redraw = 100 * time.Millisecond

// newReport starts a report over a file of so many bytes; -1 means unknown,
// which has no bar.
func (a *app) newReport(size int64) *report {
	r := &report{app: a, out: bufio.NewWriter(a.out)}
	if a.terminal && size > 0 {
		r.bar = progressbar.NewOptions64(size,
			progressbar.OptionSetWriter(a.err),
			progressbar.OptionSetDescription("scoring"),
			progressbar.OptionShowBytes(true),
			progressbar.OptionClearOnFinish(),
		)
	}
	if !a.json {
		fmt.Fprintf(r.out, reportRow, "Record", "Season", "Category", "Segment", "Elements", "Components", "Deductions", "Score")
	}
	return r
}

// result reports a record that was sent.
func (r *report) result(rec *record, result *pb.SegmentResult) {
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
		r.app.printJSONLine(r.out, result)
	case err != nil:
		r.flush()
		r.app.printError(fmt.Sprintf("record %d: ", rec.number), err)
	default:
		fmt.Fprintf(r.out, reportRow, rec.number, score.GetRules().GetSeason(), req.GetCategory(), req.GetSegment(),
			score.GetElementScore(), score.GetComponentScore(), score.GetTotalDeductions(), score.GetSegmentScore())
	}
	r.advance(rec.end)
}

// unreadable reports a record that could not be sent.
func (r *report) unreadable(rec *record) {
	r.refused++
	if r.app.json {
		r.app.printJSONLine(r.out, unreadable(rec.err))
	} else {
		r.flush()
		fmt.Fprintf(r.app.err, "tally: record %d: %v\n", rec.number, rec.err)
	}
	r.advance(rec.end)
}

// summary says how it went.
func (r *report) summary() {
	r.app.refused = r.refused > 0
	if !r.app.json {
		fmt.Fprintf(r.out, "\n%d scored, %d refused. Unofficial until the event's referee signs.\n", r.scored, r.refused)
	}
}

// flush writes the results that wait, where the bar stood.
func (r *report) flush() {
	if r.bar != nil {
		_ = r.bar.Clear() // a terminal that takes no more
	}
	_ = r.out.Flush() // a reader that takes no more
}

// advance moves the bar to a byte of the file, when it is time.
func (r *report) advance(to int64) {
	switch {
	case r.bar == nil:
		r.flush()
	case time.Since(r.drawn) >= redraw:
		r.flush()
		_ = r.bar.Set64(to) // a terminal that takes no more
		r.drawn = time.Now()
	}
}

func (r *report) close() {
	if r.bar != nil {
		_ = r.bar.Finish() // a terminal that takes no more
	}
	r.flush()
}
