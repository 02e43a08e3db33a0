package store

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"time"
)

// The exported form is JSON Lines: of each stream a line that opens it, a line
// for each record, and a line that closes it with the number of records and
// the hash of the last. Through the chain that hash is the checksum of the
// whole, and a file that was cut short lacks it.
type (
	openLine struct {
		Log    string `json:"log"`
		Format int    `json:"format"`
		Stream string `json:"stream"`
	}
	recordLine struct {
		Seq        uint64    `json:"seq"`
		Kind       string    `json:"kind"`
		Body       []byte    `json:"body"` // base64
		Actor      string    `json:"actor"`
		RequestID  string    `json:"requestId"`
		RecordedAt time.Time `json:"recordedAt"`
		Hash       Hash      `json:"hash"`
	}
	closeLine struct {
		Records uint64 `json:"records"`
		Hash    Hash   `json:"hash"`
	}
)

const (
	exportName   = "rinktally"
	exportFormat = 1
)

// Export writes streams as JSON Lines, all streams if none is named. It may run
// while facts are appended: of each stream it has all facts up to some moment.
// It checks what it writes, as Verify does.
func Export(ctx context.Context, log Log, w io.Writer, streams ...string) error {
	out := bufio.NewWriter(w)
	if len(streams) > 0 {
		for _, stream := range streams {
			if err := exportStream(ctx, log, out, stream); err != nil {
				return err
			}
		}
		return out.Flush()
	}
	for after := ""; ; {
		page, err := log.Streams(ctx, after, 0)
		if err != nil {
			return err
		}
		if len(page) == 0 {
			return out.Flush()
		}
		for _, stream := range page {
			if err := exportStream(ctx, log, out, stream); err != nil {
				return err
			}
			after = stream
		}
	}
}

func exportStream(ctx context.Context, log Log, w io.Writer, stream string) error {
	lines := json.NewEncoder(w)
	if err := lines.Encode(openLine{exportName, exportFormat, stream}); err != nil {
		return err
	}
	head, err := walk(ctx, log, stream, func(r *Record) error {
		return lines.Encode(recordLine{r.Seq, r.Kind, r.Body, r.Actor, r.RequestID, r.RecordedAt, r.Hash})
	})
	if err != nil {
		return err
	}
	return lines.Encode(closeLine{head.Seq, head.Hash})
}

// Verify reads a stream and checks that it is whole: numbered without gap from
// 1, times in order, the hash of every record. It gives the end of the stream;
// the error is a *DamagedError where records do not fit.
func Verify(ctx context.Context, log Log, stream string) (Head, error) {
	return walk(ctx, log, stream, func(*Record) error { return nil })
}

func walk(ctx context.Context, log Log, stream string, do func(*Record) error) (Head, error) {
	var head Head
	for record, err := range All(ctx, log, stream, 0) {
		if err == nil {
			err = record.Follows(head)
		}
		if err == nil {
			err = do(&record)
		}
		if err != nil {
			return Head{}, err
		}
		head = record.Head()
	}
	return head, nil
}

// Parse reads an export and gives the records of one stream after the other,
// checked as Verify does, for Log.Restore. A stream is kept in memory until it is
// given. It ends with the first error, a *DamagedError with the line unless reading
// failed.
func Parse(r io.Reader) iter.Seq2[[]Record, error] {
	return func(yield func([]Record, error) bool) {
		p := &parser{lines: bufio.NewReaderSize(r, 64<<10)}
		for {
			records, err := p.stream()
			if errors.Is(err, io.EOF) {
				return
			}
			if !yield(records, err) || err != nil {
				return
			}
		}
	}
}

type parser struct {
	lines *bufio.Reader
	line  int
	name  string
}

// stream reads one stream; io.EOF where the file ends properly.
func (p *parser) stream() ([]Record, error) {
	p.name = ""
	text, err := p.next()
	if err != nil {
		return nil, err
	}
	var open openLine
	if err := decode(text, &open); err != nil {
		return nil, p.damaged("expected the line that opens a stream: " + err.Error())
	}
	if open.Log != exportName || open.Format != exportFormat {
		return nil, p.damaged(fmt.Sprintf("this is %s, format %d; readable: %q, format %d",
			Brief(open.Log), open.Format, exportName, exportFormat))
	}
	p.name = open.Stream
	return p.records(open.Stream)
}

func (p *parser) records(stream string) ([]Record, error) {
	var records []Record
	var head Head
	for {
		text, err := p.next()
		if errors.Is(err, io.EOF) {
			return nil, p.damaged(fmt.Sprintf("the file is cut short: the stream is not closed after record %d", head.Seq))
		}
		if err != nil {
			return nil, err
		}
		if bytes.HasPrefix(text, []byte(`{"records":`)) {
			return records, p.close(text, head)
		}
		var line recordLine
		if err := decode(text, &line); err != nil {
			return nil, p.damaged("expected a record, or the line that closes the stream: " + err.Error())
		}
		r := Record{
			Fact:   Fact{Kind: line.Kind, Body: line.Body, Actor: line.Actor},
			Stream: stream, Seq: line.Seq, RequestID: line.RequestID, RecordedAt: line.RecordedAt.UTC(), Hash: line.Hash,
		}
		if err := checkRecord("", &r); err != nil {
			return nil, p.damaged(err.Error())
		}
		if err := r.Follows(head); err != nil {
			var damage *DamagedError
			if errors.As(err, &damage) {
				damage.Line = p.line
			}
			return nil, err
		}
		records, head = append(records, r), r.Head()
	}
}

func (p *parser) close(text []byte, head Head) error {
	var end closeLine
	if err := decode(text, &end); err != nil {
		return p.damaged("expected the line that closes the stream: " + err.Error())
	}
	if head.Seq == 0 || end.Records != head.Seq || end.Hash != head.Hash {
		return p.damaged(fmt.Sprintf("the stream closes with record %d, hash %s; found %d records, hash %s",
			end.Records, end.Hash, head.Seq, head.Hash))
	}
	return nil
}

// longestLine holds a record with the largest body, in base64, and the longest
// texts, every character escaped.
var longestLine = Limits.Body/3*4 + 6*(Limits.Kind+Limits.Actor+Limits.RequestID) + 1024

// next gives the next line that is not empty; io.EOF after the last.
func (p *parser) next() ([]byte, error) {
	for {
		p.line++
		var line []byte
		for {
			part, err := p.lines.ReadSlice('\n')
			line = append(line, part...)
			if len(line) > longestLine {
				return nil, p.damaged(fmt.Sprintf("longer than the %d bytes that a record can take", longestLine))
			}
			if err == nil || (errors.Is(err, io.EOF) && len(line) > 0) {
				break
			}
			if !errors.Is(err, bufio.ErrBufferFull) {
				return nil, err
			}
		}
		if line = bytes.TrimSpace(line); len(line) > 0 {
			return line, nil
		}
	}
}

func (p *parser) damaged(fault string) error {
	return &DamagedError{Stream: p.name, Line: p.line, Fault: fault}
}

// decode reads a line that holds one JSON object with the fields of v.
func decode(text []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("more text after the object")
	}
	return nil
}
