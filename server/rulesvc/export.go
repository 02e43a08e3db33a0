package rulesvc

import (
	"bytes"
	"context"
	"encoding/csv"
	"strconv"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/server/errs"
	"github.com/rinktally/rinktally/server/spreadsheet"
)

// ExportElements returns the elements of ListElements, all of them, as CSV.
func (s *Service) ExportElements(_ context.Context, req *pb.ExportElementsRequest) (*pb.ExportElementsResponse, error) {
	season, _, err := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err != nil {
		return nil, errs.From(err, req)
	}
	entries, faults := selected(season, req.GetDiscipline(), req.GetKind())
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	if req.GetReducedForms() {
		entries = withReduced(entries)
	}
	name := season.Params.Season
	for _, filter := range []string{req.GetDiscipline(), req.GetKind()} {
		if filter != "" {
			name += "-" + strings.ToLower(filter)
		}
	}
	return &pb.ExportElementsResponse{File: &pb.File{
		Filename: name + "-elements.csv", ContentType: "text/csv; charset=utf-8", Data: elementsCSV(season, entries),
	}}, nil
}

// withReduced puts the forms with signs behind each entry.
func withReduced(entries []entry) []entry {
	var all []entry
	for _, e := range entries {
		all = append(all, e)
		for _, row := range e.reduced {
			if code, err := element.Parse(row.Code); err == nil { // as the table's own check says
				all = append(all, entry{discipline: e.discipline, row: row, element: code})
			}
		}
	}
	return all
}

// elementsCSV writes one row for each entry, under one header for the whole season.
func elementsCSV(season *rules.Season, entries []entry) []byte {
	header := []string{"season", "code", "name", "kind", "discipline", "scope", "base_value"}
	for mark := season.GOE.Min; mark <= season.GOE.Max; mark++ {
		header = append(header, strconv.Itoa(mark))
	}
	lines := [][]string{append(header, "source", "confidence", "inferred_marks")}
	for i := range entries {
		lines = append(lines, csvRow(season, &entries[i]))
	}
	var out bytes.Buffer
	_ = csv.NewWriter(&out).WriteAll(lines) // a buffer takes everything
	return out.Bytes()
}

func csvRow(season *rules.Season, e *entry) []string {
	row := []string{
		season.Params.Season, e.row.Code, e.element.Describe(), e.kind().String(), string(e.discipline), e.row.Scope,
	}
	for i := range row {
		row[i] = spreadsheet.Cell(row[i])
	}
	row = append(row, e.row.Base.String())
	var guessed []string
	for mark := season.GOE.Min; mark <= season.GOE.Max; mark++ {
		points, known, inferred := e.row.GOE(mark)
		if !known {
			row = append(row, "")
			continue
		}
		row = append(row, points.String())
		if inferred {
			guessed = append(guessed, strconv.Itoa(mark))
		}
	}
	return append(row, spreadsheet.Cell(e.row.Source), string(sure(e.row.BaseInferred)), strings.Join(guessed, " "))
}
