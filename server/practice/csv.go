package practice

import (
	"bytes"
	"context"
	"encoding/csv"
	"strconv"
	"strings"
	"time"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/spreadsheet"
	"github.com/rinktally/rinktally/server/store/books"
)

// attemptForm is a CSV file of attempts.
var attemptForm = spreadsheet.Form{
	Header:   []string{"time", "planned", "came", "grade", "fall", "cause", "run_through", "note", "level"},
	Required: []string{"time", "planned"}, Most: 20_000, Item: "attempt",
}

// ImportAttempts adds attempts from CSV, all or none.
func (s *Service) ImportAttempts(ctx context.Context, req *pb.ImportAttemptsRequest) (*pb.ImportAttemptsResponse, error) {
	lines, faults := attemptForm.Read(req.GetCsv())
	attempts := make([]books.Attempt, len(lines))
	for i := range lines {
		attempts[i] = s.toAttempt(&faults, lines[i].At(""), fromLine(&faults, &lines[i]))
	}
	if err := columns(faults).Err(); err != nil {
		return nil, errs.From(err, req)
	}
	added, err := s.store.ImportAttempts(ctx, keyOf(req), attempts)
	if err != nil {
		return nil, fault(err, req, "attempts")
	}
	return &pb.ImportAttemptsResponse{Added: int32(added), PassedOver: int32(len(attempts) - added)}, nil
}

// columns names the field of an attempt as its column.
func columns(faults rules.FieldErrors) rules.FieldErrors {
	for i := range faults {
		faults[i].Field = strings.Replace(faults[i].Field, ".runThrough", ".run_through", 1)
	}
	return faults
}

// fromLine reads a line as an attempt of a request.
func fromLine(faults *rules.FieldErrors, line *spreadsheet.Line) *pb.Attempt {
	a := &pb.Attempt{
		Planned: line.Get("planned"), Came: line.Get("came"), Cause: spreadsheet.Plain(line.Get("cause")),
		RunThrough: spreadsheet.Plain(line.Get("run_through")), Note: spreadsheet.Plain(line.Get("note")),
	}
	before := len(*faults)
	if at := moment(faults, line.At("time"), line.Get("time"), 0); !at.IsZero() {
		a.Time = timestamppb.New(at)
	} else if len(*faults) == before {
		faults.Add(line.At("time"), spreadsheet.ReasonCSV, "is empty")
	}
	if text := line.Get("grade"); text != "" {
		g, err := strconv.ParseFloat(text, 64)
		if err != nil {
			faults.Add(line.At("grade"), spreadsheet.ReasonCSV, "is no number")
		} else {
			a.Grade = &g
		}
	}
	switch strings.ToLower(line.Get("fall")) {
	case "true":
		a.Fall = true
	case "false", "":
	default:
		faults.Add(line.At("fall"), spreadsheet.ReasonCSV, "allowed are %s", rules.Allowed("true, false or nothing"))
	}
	if text := line.Get("level"); text != "" {
		a.Level = &pb.LevelledElement{}
		if err := protojson.Unmarshal([]byte(text), a.Level); err != nil {
			faults.Add(line.At("level"), spreadsheet.ReasonCSV, "is not the JSON of what was skated")
		}
	}
	return a
}

// ExportAttempts returns attempts as CSV.
func (s *Service) ExportAttempts(ctx context.Context, req *pb.ExportAttemptsRequest) (*pb.ExportAttemptsResponse, error) {
	var faults rules.FieldErrors
	filter := s.filterOf(&faults, req)
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	if _, err := s.store.Revision(ctx, keyOf(req)); err != nil {
		return nil, fault(err, req, "")
	}
	kept, err := s.store.AllAttempts(ctx, keyOf(req), filter)
	if err != nil {
		return nil, fault(err, req, "")
	}
	data, err := attemptsCSV(kept)
	if err != nil {
		return nil, errs.From(err, req)
	}
	return &pb.ExportAttemptsResponse{File: &pb.File{
		Filename: "attempts-" + req.GetSkater() + ".csv", ContentType: "text/csv; charset=utf-8", Data: data,
	}}, nil
}

func attemptsCSV(kept []books.Attempt) ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	_ = w.Write(attemptForm.Header) // a buffer takes everything
	for i := range kept {
		a, err := fromAttempt(&kept[i])
		if err != nil {
			return nil, err
		}
		grade, level := "", ""
		if a.Grade != nil {
			grade = strconv.FormatFloat(a.GetGrade(), 'g', -1, 64)
		}
		if a.GetLevel() != nil {
			text, err := protojson.Marshal(a.GetLevel())
			if err != nil {
				return nil, err
			}
			level = string(text)
		}
		_ = w.Write([]string{
			kept[i].Time.Format(time.RFC3339Nano), a.GetPlanned(), a.GetCame(), grade, strconv.FormatBool(a.GetFall()),
			spreadsheet.Text(a.GetCause()), spreadsheet.Text(a.GetRunThrough()), spreadsheet.Text(a.GetNote()), level,
		})
	}
	w.Flush()
	return out.Bytes(), nil
}
