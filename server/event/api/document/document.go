// Package document writes the papers of an event: starting orders, results and
// score sheets, as CSV to calculate with and as PDF to print. Every page of a
// result says whether the referee has signed it.
package document

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"time"

	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// Document is a paper of an event.
type Document interface {
	CSV() (*pb.File, error)
	PDF() (*pb.File, error)
	// Content is a fingerprint of all that the paper shows but the time.
	Content() ([sha256.Size]byte, error)
}

// Head is what stands above every paper.
type Head struct {
	Event    *pb.Event
	Category string                // title
	Segment  string                // title; empty over all segments
	Segments []Segment             // of the category, where the paper is about all
	Time     time.Time             // of the last fact when the paper was printed
	Status   pb.ResultStatus_Value // unspecified on a paper that is no result
}

// Segment names a segment of the category.
type Segment struct{ Key, Title string }

// status says of a result whether it holds, in a word and why.
func (h *Head) status() (word, why string) {
	switch h.Status {
	case pb.ResultStatus_OFFICIAL:
		return "OFFICIAL", "signed by the referee"
	case pb.ResultStatus_PROVISIONAL:
		return "UNOFFICIAL", "holds only when the referee has signed"
	default:
		return "", ""
	}
}

// file names a paper: "spring-cup-2026-junior-women-short-program-result.pdf".
func (h *Head) file(what, kind, contentType string, data []byte) *pb.File {
	parts := []string{h.Event.GetEvent(), h.Category, h.Segment, what}
	name := strings.Join(parts, " ")
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return &pb.File{Filename: strings.Trim(b.String(), "-") + "." + kind, ContentType: contentType, Data: data}
}

// content is the fingerprint of a paper with these parts below its head.
func (h *Head) content(kind string, parts ...proto.Message) ([sha256.Size]byte, error) {
	e := proto.CloneOf(h.Event)
	e.Sequence = 0 // moves with every fact
	all := fmt.Appendf(nil, "%s\n%q %q %q %s", kind, h.Category, h.Segment, h.Segments, h.Status)
	for _, part := range append([]proto.Message{e}, parts...) {
		data, err := proto.MarshalOptions{Deterministic: true}.Marshal(part)
		if err != nil {
			return [sha256.Size]byte{}, err
		}
		all = append(fmt.Appendf(all, "\n%d ", len(data)), data...)
	}
	return sha256.Sum256(all), nil
}

// csv makes a CSV file. The first column of a result says whether it holds.
func (h *Head) csv(what string, header []string, rows [][]string) (*pb.File, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	lines := append([][]string{header}, rows...)
	if status, _ := h.status(); status != "" {
		for i, line := range lines {
			lines[i] = append([]string{status}, line...)
		}
		lines[0][0] = "status"
	}
	if err := w.WriteAll(lines); err != nil {
		return nil, err
	}
	return h.file(what, "csv", "text/csv; charset=utf-8", out.Bytes()), nil
}

// place returns a place as papers show it; none is a dash, or why there is none.
func place(n int32, status pb.CompetitorStatus_Value) string {
	switch {
	case n > 0:
		return strconv.Itoa(int(n))
	case status == pb.CompetitorStatus_WITHDRAWN:
		return "WD"
	case status == pb.CompetitorStatus_DISQUALIFIED:
		return "DQ"
	default:
		return "-"
	}
}

// yesNo returns a column that is true or not.
func yesNo(is bool) string {
	if is {
		return "yes"
	}
	return "no"
}

func itoa(n int32) string { return strconv.Itoa(int(n)) }
