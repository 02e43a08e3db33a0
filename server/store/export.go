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
	"slices"
	"time"
)

// The exported form is JSON Lines: a line for each file that facts rest on; of each
// stream a line that opens it, a line for each record, and a line that closes it
// with the number of records and the hash of the last. Through the chain that hash
// is the checksum of the whole, and a file that was cut short lacks it.
type (
	fileLine struct {
		File string `json:"file"`
		Data []byte `json:"data"` // base64
	}
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
		Seal       Hash      `json:"seal,omitzero"`
		Apart      []byte    `json:"apart,omitempty"` // base64; missing where it was erased or left out
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

// Selection is what an export holds.
type Selection struct {
	// Streams are the streams by name; all of them where none is named.
	Streams []string
	// Leave says which streams are left out of all of them; nil leaves none out.
	Leave func(stream string) bool
	// Apart says of which records the export holds what stands apart; nil means of
	// all. The chain of hashes is whole either way.
	Apart func(*Record) bool
}

// Export writes streams, and all files that facts rest on, as JSON Lines. It may
// run while facts are appended: of each stream it has all facts up to some moment.
// It checks what it writes, as Verify does.
func Export(ctx context.Context, log Log, w io.Writer, what Selection) error {
	out := bufio.NewWriter(w)
	if err := exportFiles(ctx, log, out); err != nil {
		return err
	}
	streams := what.Streams
	if len(streams) == 0 {
		all, err := Names(ctx, log)
		if err != nil {
			return err
		}
		streams = slices.DeleteFunc(all, func(stream string) bool { return what.Leave != nil && what.Leave(stream) })
	}
	for _, stream := range streams {
		if err := exportStream(ctx, log, out, stream, what.Apart); err != nil {
			return err
		}
	}
	return out.Flush()
}

// Names returns the names of all streams, by their bytes.
func Names(ctx context.Context, log Log) ([]string, error) {
	var names []string
	for after := ""; ; after = names[len(names)-1] {
		page, err := log.Streams(ctx, after, 0)
		if err != nil || len(page) == 0 {
			return names, err
		}
		names = append(names, page...)
	}
}

func exportFiles(ctx context.Context, log Log, w io.Writer) error {
	names, err := log.Files(ctx)
	if err != nil {
		return err
	}
	for _, name := range names {
		data, err := log.Kept(ctx, name)
		if err != nil {
			return err
		}
		if err := json.NewEncoder(w).Encode(fileLine{name, data}); err != nil {
			return err
		}
	}
	return nil
}

func exportStream(ctx context.Context, log Log, w io.Writer, stream string, apart func(*Record) bool) error {
	lines := json.NewEncoder(w)
	if err := lines.Encode(openLine{exportName, exportFormat, stream}); err != nil {
		return err
	}
	head, err := walk(ctx, log, stream, func(r *Record) error {
		if apart != nil && !apart(r) {
			r.Apart = nil
		}
		return lines.Encode(recordLine{r.Seq, r.Kind, r.Body, r.Actor, r.RequestID, r.RecordedAt, r.Hash, r.Seal, r.Apart})
	})
	if err != nil {
		return err
	}
	return lines.Encode(closeLine{head.Seq, head.Hash})
}

// Verify reads a stream and checks that it is whole: numbered without gap from
// 1, the hash of every record, the end as it is kept apart. It returns the end of
// the stream; the error is a *DamagedError where records do not fit.
func Verify(ctx context.Context, log Log, stream string) (Head, error) {
	return walk(ctx, log, stream, func(*Record) error { return nil })
}

// Records returns a whole stream, checked as Verify does.
func Records(ctx context.Context, log Log, stream string) ([]Record, error) {
	var records []Record
	_, err := walk(ctx, log, stream, func(r *Record) error {
		records = append(records, *r)
		return nil
	})
	return records, err
}

func walk(ctx context.Context, log Log, stream string, do func(*Record) error) (Head, error) {
	var head Head
	for record, err := range Whole(ctx, log, stream, 0) {
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

// Exported is one part of an export: a whole stream, or a file that facts rest on.
type Exported struct {
	Records []Record // of one stream; none with a file
	File    string   // name; empty with a stream
	Data    []byte
}

// Bring puts what an export holds into a log.
func (e *Exported) Bring(ctx context.Context, log Log) error {
	if e.File != "" {
		return log.Keep(ctx, e.File, e.Data)
	}
	return log.Restore(ctx, e.Records)
}

// Parse reads an export and returns its streams and files one after the other,
// checked as Verify does. A stream is kept in memory until it is given. It ends with
// the first error, a *DamagedError with the line unless reading failed.
func Parse(r io.Reader) iter.Seq2[*Exported, error] {
	return func(yield func(*Exported, error) bool) {
		p := &parser{lines: bufio.NewReaderSize(r, 64<<10)}
		for {
			part, err := p.part()
			if errors.Is(err, io.EOF) {
				return
			}
			if !yield(part, err) || err != nil {
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

// part reads one stream or file; io.EOF where the export ends properly.
func (p *parser) part() (*Exported, error) {
	p.name = ""
	text, err := p.next()
	if err != nil {
		return nil, err
	}
	if bytes.HasPrefix(text, []byte(`{"file":`)) {
		var file fileLine
		if err := decode(text, &file); err != nil {
			return nil, p.damaged("expected a file: " + err.Error())
		}
		if err := CheckFile(file.File, file.Data); err != nil {
			return nil, p.damaged(err.Error())
		}
		return &Exported{File: file.File, Data: file.Data}, nil
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
	records, err := p.records(open.Stream)
	return &Exported{Records: records}, err
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
			Fact:   Fact{Kind: line.Kind, Body: line.Body, Actor: line.Actor, Apart: line.Apart},
			Stream: stream, Seq: line.Seq, RequestID: line.RequestID, RecordedAt: line.RecordedAt.UTC(), Hash: line.Hash, Seal: line.Seal,
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

// longestLine holds the largest file, or a record with the largest body, in base64,
// and the longest texts, every character escaped.
var longestLine = max(Limits.File, Limits.Body+Limits.Apart)/3*4 + 6*(Limits.Kind+Limits.Actor+Limits.RequestID) + 1024

// next returns the next line that is not empty; io.EOF after the last.
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
