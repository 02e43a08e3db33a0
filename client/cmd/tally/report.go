package main

import (
	"bufio"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/rinktally/rinktally/client"
	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// report prints the results of a file of segments as they come, and how far it
// is when a person watches.
type report struct {
	app             *app
	out             *bufio.Writer
	size            int64     // of the file in bytes; 0 when nobody watches or it is unknown
	drawn           time.Time // when the line of progress was drawn last
	line            string    // as it stands on the screen
	scored, refused int
	warnings        []*warned // in the order they came
}

// warned is a warning and the records it was given for.
type warned struct {
	message string
	records []int
}

const reportRow = "%6v  %-14s  %-22s  %-18s  %8s  %10s  %10s  %7s\n"

// The line of progress is drawn so often; results wait for it, so that the two do
// not fight for the last line of the screen.
const redraw = 100 * time.Millisecond

// newReport starts a report over a file of so many bytes; -1 means unknown,
// which has no line of progress.
func (a *app) newReport(size int64) *report {
	r := &report{app: a, out: bufio.NewWriter(a.out)}
	if a.terminal && size > 0 {
		r.size = size
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
		r.warn(rec.number, score.GetWarnings())
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

// warn notes the warnings of a record, each message once with all its records.
func (r *report) warn(record int, warnings []*pb.Warning) {
	for _, w := range warnings {
		message := tag(w.GetConfidence(), nil) + w.GetMessage() // which elements, each record has its own
		i := slices.IndexFunc(r.warnings, func(have *warned) bool { return have.message == message })
		if i < 0 {
			i, r.warnings = len(r.warnings), append(r.warnings, &warned{message: message})
		}
		r.warnings[i].records = append(r.warnings[i].records, record)
	}
}

// maxRecords limits how many records a warning names.
const maxRecords = 5

// summary says how it went, with the warnings of all records.
func (r *report) summary() {
	r.app.refused = r.refused > 0
	if r.app.json {
		return // each line has its own warnings
	}
	if len(r.warnings) > 0 {
		fmt.Fprintln(r.out, "\nWarnings")
	}
	for _, w := range r.warnings {
		names := make([]string, min(len(w.records), maxRecords))
		for i := range names {
			names[i] = strconv.Itoa(w.records[i])
		}
		more := ""
		if n := len(w.records) - maxRecords; n > 0 {
			more = fmt.Sprintf(" and %d more", n)
		}
		fmt.Fprintf(r.out, "  record %s%s: %s\n", strings.Join(names, ", "), more, w.message)
	}
	fmt.Fprintf(r.out, "\n%d scored, %d refused. Unofficial until the event's referee signs.\n", r.scored, r.refused)
}

// flush writes the results that wait, where the line of progress stood.
func (r *report) flush() {
	r.draw("")
	_ = r.out.Flush() // a reader that reads no more
}

// draw puts a text in place of the line of progress.
func (r *report) draw(line string) {
	if r.line != "" {
		fmt.Fprintf(r.app.err, "\r%s\r", strings.Repeat(" ", len(r.line)))
	}
	fmt.Fprint(r.app.err, line)
	r.line = line
}

// advance shows how far the file is read, up to a byte, when it is time.
func (r *report) advance(to int64) {
	switch {
	case r.size == 0:
		r.flush()
	case time.Since(r.drawn) >= redraw:
		r.flush()
		r.draw(fmt.Sprintf("scoring: record %d, %d%% of the file", r.scored+r.refused, to*100/r.size))
		r.drawn = time.Now()
	}
}

func (r *report) close() { r.flush() }
