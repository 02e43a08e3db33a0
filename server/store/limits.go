package store

import (
	"fmt"
	"time"
	"unicode/utf8"
)

// Limits is what fits into the log. Texts are counted in bytes.
var Limits = struct {
	Stream, RequestID, Kind, Actor int
	Body, Apart                    int // of one fact
	Facts                          int // of one append
	Append                         int // bodies of one append together
	Read                           int // records of one Read, names of one Streams
	Page                           int // bodies of one Read together, except that one record always fits
	File                           int // of one file
}{
	Stream: 128, RequestID: 128, Kind: 128, Actor: 256,
	Body:   1 << 20,
	Apart:  64 << 10,
	Facts:  1000,
	Append: 4 << 20,
	Read:   1000,
	Page:   8 << 20,
	File:   16 << 20,
}

// CheckAppend says what does not fit in the arguments of Append. The error is
// an *InvalidError.
func CheckAppend(stream, requestID string, facts []Fact) error {
	if err := CheckFind(stream, requestID); err != nil {
		return err
	}
	if len(facts) < 1 || len(facts) > Limits.Facts {
		return &InvalidError{"facts", fmt.Sprintf("%d facts", len(facts)), fmt.Sprintf("1 to %d", Limits.Facts)}
	}
	total := 0
	for i := range facts {
		if err := checkFact(fmt.Sprintf("facts[%d].", i), &facts[i]); err != nil {
			return err
		}
		total += len(facts[i].Body)
	}
	if total > Limits.Append {
		return &InvalidError{"facts", fmt.Sprintf("%d bytes of bodies", total), fmt.Sprintf("up to %d", Limits.Append)}
	}
	return nil
}

// CheckRestore says what is wrong with records that are to become a stream.
// The error is an *InvalidError or a *DamagedError.
func CheckRestore(records []Record) error {
	if len(records) == 0 {
		return &InvalidError{"records", "none", "a whole stream"}
	}
	var head Head
	for i := range records {
		r := &records[i]
		at := fmt.Sprintf("records[%d].", i)
		if r.Stream != records[0].Stream {
			return &InvalidError{at + "stream", Brief(r.Stream), "one stream: " + Brief(records[0].Stream)}
		}
		if err := checkRecord(at, r); err != nil {
			return err
		}
		if err := r.Follows(head); err != nil {
			return err
		}
		head = r.Head()
	}
	return nil
}

// The years that both stores can keep.
var earliest, latest = time.Date(1, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(9999, 12, 31, 23, 59, 59, 0, time.UTC)

func checkRecord(at string, r *Record) error {
	if err := checkText(at+"stream", r.Stream, 1, Limits.Stream); err != nil {
		return err
	}
	if err := checkText(at+"requestID", r.RequestID, 1, Limits.RequestID); err != nil {
		return err
	}
	if r.RecordedAt.Before(earliest) || r.RecordedAt.After(latest) || r.RecordedAt != Time(r.RecordedAt) {
		return &InvalidError{at + "recordedAt", r.RecordedAt.Format(time.RFC3339Nano), "UTC, whole microseconds, years 1 to 9999"}
	}
	return checkFact(at, &r.Fact)
}

// Time returns a time as the log keeps it: UTC, whole microseconds, without a
// monotonic part.
func Time(t time.Time) time.Time { return t.UTC().Round(0).Truncate(time.Microsecond) }

func checkFact(at string, f *Fact) error {
	if err := checkText(at+"kind", f.Kind, 1, Limits.Kind); err != nil {
		return err
	}
	if err := checkText(at+"actor", f.Actor, 0, Limits.Actor); err != nil {
		return err
	}
	if len(f.Body) > Limits.Body {
		return &InvalidError{at + "body", fmt.Sprintf("%d bytes", len(f.Body)), fmt.Sprintf("up to %d", Limits.Body)}
	}
	if len(f.Apart) > Limits.Apart {
		return &InvalidError{at + "apart", fmt.Sprintf("%d bytes", len(f.Apart)), fmt.Sprintf("up to %d", Limits.Apart)}
	}
	return nil
}

// checkText keeps out what one of the databases cannot hold (a zero byte,
// broken UTF-8) and what would break a line of a report (control characters).
func checkText(field, text string, least, most int) error {
	var fault string
	switch {
	case len(text) < least:
		fault = "empty"
	case len(text) > most:
		fault = fmt.Sprintf("%d bytes", len(text))
	case !utf8.ValidString(text):
		fault = "not UTF-8: " + Brief(text)
	default:
		for _, c := range text {
			if c < ' ' || c == 0x7f {
				fault = "a control character in " + Brief(text)
			}
		}
	}
	if fault == "" {
		return nil
	}
	return &InvalidError{field, fault, fmt.Sprintf("%d to %d bytes of UTF-8 without control characters", least, most)}
}

// CheckStream reports whether a stream can have this name. The error is an
// *InvalidError.
func CheckStream(stream string) error { return checkText("stream", stream, 1, Limits.Stream) }

// CheckFile says what is wrong with a file to keep. The error is an *InvalidError.
func CheckFile(name string, data []byte) error {
	if len(data) > Limits.File {
		return &InvalidError{"file", fmt.Sprintf("%d bytes", len(data)), fmt.Sprintf("up to %d", Limits.File)}
	}
	return checkText("name", name, 1, Limits.Stream)
}

// CheckFind says what does not fit in the arguments of Find. The error is an
// *InvalidError.
func CheckFind(stream, requestID string) error {
	if err := CheckStream(stream); err != nil {
		return err
	}
	return checkText("requestID", requestID, 1, Limits.RequestID)
}

// CheckRead checks the arguments of Read and returns the limit that holds. The
// error is an *InvalidError.
func CheckRead(stream string, limit int) (int, error) {
	if err := CheckStream(stream); err != nil {
		return 0, err
	}
	return checkLimit(limit)
}

// CheckStreams checks the arguments of Streams and returns the limit that holds.
// The error is an *InvalidError.
func CheckStreams(after string, limit int) (int, error) {
	if err := checkText("after", after, 0, Limits.Stream); err != nil {
		return 0, err
	}
	return checkLimit(limit)
}

func checkLimit(limit int) (int, error) {
	if limit < 0 {
		return 0, &InvalidError{"limit", fmt.Sprint(limit), "0 or more"}
	}
	if limit == 0 || limit > Limits.Read {
		return Limits.Read, nil
	}
	return limit, nil
}
