package api_test

import (
	"bytes"
	"encoding/csv"
	"regexp"
	"strings"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

func (r *rink) document(t testing.TB, req *pb.GetDocumentRequest) *pb.File {
	t.Helper()
	req.Event, req.Category = cup, category
	return must(r.GetDocument(t.Context(), req)).GetFile()
}

func cells(t *testing.T, f *pb.File) [][]string {
	t.Helper()
	if f.GetContentType() != "text/csv; charset=utf-8" || !strings.HasSuffix(f.GetFilename(), ".csv") {
		t.Errorf("%s is %s", f.GetFilename(), f.GetContentType())
	}
	rows, err := csv.NewReader(bytes.NewReader(f.GetData())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// CSV files have what the answers have, and say in every line whether it holds.
func TestDocumentsAsCSV(t *testing.T) {
	r := started(t)
	r.skate(t, short, "2", 3)
	sheet := r.skate(t, short, "1", 1)
	must(r.WithdrawEntry(referee(t), &pb.WithdrawEntryRequest{Event: cup, Entry: "3"}))

	order := cells(t, r.document(t, &pb.GetDocumentRequest{Document: pb.Document_STARTING_ORDER, Segment: short, Format: pb.DocumentFormat_CSV}))
	if len(order) != 4 || strings.Join(order[1], "|") != "1|1|1|Ada Invented|Pond|yes" || strings.Join(order[3], "|") != "3|1|3|Cleo Invented|Pond|no" {
		t.Errorf("starting order: %q", order)
	}
	// The one who is left to skate: 16 elements, two components, deductions.
	panel := cells(t, r.document(t, &pb.GetDocumentRequest{Document: pb.Document_PANEL_SHEETS, Segment: short, Entry: "3", Format: pb.DocumentFormat_CSV}))
	if len(panel) != 1+16+3+1 || strings.Join(panel[1], "|") != "3|3|Cleo Invented|element|1||||" {
		t.Errorf("panel sheets: %q", panel)
	}
	result := cells(t, r.document(t, &pb.GetDocumentRequest{Document: pb.Document_SEGMENT_RESULT, Segment: short, Format: pb.DocumentFormat_CSV}))
	if len(result) != 4 || result[1][1] != "1" || result[1][2] != "2" || result[2][6] != sheet.GetSegmentScore() || result[3][1] != "WD" || result[3][6] != "" {
		t.Errorf("result: %q", result)
	}
	sheets := cells(t, r.document(t, &pb.GetDocumentRequest{Document: pb.Document_SCORE_SHEETS, Segment: short, Entry: "1", Format: pb.DocumentFormat_CSV}))
	e := sheet.GetElements()[0]
	want := []string{"UNOFFICIAL", "1", "Ada Invented", "element", "2A", "", e.GetBaseValue(), e.GetGoe(), "", "", e.GetScore(), "1", "1", "1"}
	if strings.Join(sheets[1], "|") != strings.Join(want, "|") || len(sheets) != 1+2+3+1 {
		t.Errorf("score sheet: %q, want %q in the second line", sheets, want)
	}
	if total := sheets[len(sheets)-1]; total[3] != "total" || total[10] != sheet.GetSegmentScore() {
		t.Errorf("last line of the score sheet: %q", total)
	}
	must(r.PublishSegment(referee(t), &pb.PublishSegmentRequest{Event: cup, Category: category, Segment: short}))
	result = cells(t, r.document(t, &pb.GetDocumentRequest{Document: pb.Document_SEGMENT_RESULT, Segment: short, Format: pb.DocumentFormat_CSV}))
	final := cells(t, r.document(t, &pb.GetDocumentRequest{Document: pb.Document_FINAL_RESULT, Format: pb.DocumentFormat_CSV}))
	if result[1][0] != "OFFICIAL" || final[1][0] != "UNOFFICIAL" { // the free skating is still to come
		t.Errorf("signed: %q, over all segments: %q", result[1], final[1])
	}
	if strings.Join(final[0], ",") != "status,place,entry,name,club,total_score,short-program_place,short-program_score,free-skating_place,free-skating_score,tie_broken_by,corrected" ||
		final[1][1] != "1" || final[1][5] != result[1][6] || final[1][6] != "1" {
		t.Errorf("final result: %q", final)
	}
}

var pdfPages = regexp.MustCompile(`/Type /Page\b[^s]`)

// PDF files are PDF, with a page for each skater's sheet; equal content makes
// equal bytes.
func TestDocumentsAsPDF(t *testing.T) {
	r := started(t)
	must(r.UpdateEntry(organiser(t), &pb.UpdateEntryRequest{Event: cup, Entry: "1", Name: new("Žofie Příkladná-Зимняя with a name that is far too long for any column of a table on paper")}))
	for _, entry := range []string{"1", "2", "3"} {
		r.skate(t, short, entry, 1)
	}
	for _, c := range []struct {
		req   *pb.GetDocumentRequest
		pages int
	}{
		{&pb.GetDocumentRequest{Document: pb.Document_STARTING_ORDER, Segment: short}, 1},
		{&pb.GetDocumentRequest{Document: pb.Document_SEGMENT_RESULT, Segment: short, Format: pb.DocumentFormat_PDF}, 1},
		{&pb.GetDocumentRequest{Document: pb.Document_SCORE_SHEETS, Segment: short}, 3},
		{&pb.GetDocumentRequest{Document: pb.Document_FINAL_RESULT}, 1},
		{&pb.GetDocumentRequest{Document: pb.Document_PANEL_SHEETS, Segment: short}, 1}, // all have skated
		{&pb.GetDocumentRequest{Document: pb.Document_PANEL_SHEETS, Segment: short, Entry: "2"}, 1},
	} {
		f := r.document(t, c.req)
		if f.GetContentType() != "application/pdf" || !bytes.HasPrefix(f.GetData(), []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(f.GetData()), []byte("%%EOF")) {
			t.Errorf("%s: %s, %d bytes", f.GetFilename(), f.GetContentType(), len(f.GetData()))
		}
		if n := len(pdfPages.FindAll(f.GetData(), -1)); n != c.pages {
			t.Errorf("%s has %d pages, want %d", f.GetFilename(), n, c.pages)
		}
		if again := r.document(t, c.req); !bytes.Equal(again.GetData(), f.GetData()) {
			t.Errorf("%s is another file the second time", f.GetFilename())
		}
	}
}

// No name keeps a paper from being made: not one in a script that the font does
// not have, nor a picture, nor accents that are letters of their own.
func TestPapersTakeAnyName(t *testing.T) {
	for _, name := range []string{"Ada \U0001F600", "日本語", "Z\u030Cofie", "\u0301", "Жанна", strings.Repeat("W", 200)} {
		r := newCup(t)
		must(r.UpdateEvent(organiser(t), &pb.UpdateEventRequest{Event: cup, Name: &name, Place: &name}))
		must(r.UpdateEntry(organiser(t), &pb.UpdateEntryRequest{Event: cup, Entry: "1", Name: &name, Club: &name}))
		must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short}))
		must(r.StartSegment(referee(t), &pb.StartSegmentRequest{Event: cup, Category: category, Segment: short}))
		r.skate(t, short, "1", 1)
		must(r.CorrectResult(referee(t), &pb.CorrectResultRequest{
			Event: cup, Category: category, Segment: short, Entry: "1", Reason: name, RemovedElements: []int32{1},
		}))
		for document := range pb.Document_Value_name {
			if document == 0 {
				continue
			}
			f := r.document(t, &pb.GetDocumentRequest{Document: pb.Document_Value(document), Segment: short})
			want := 1
			if document == int32(pb.Document_PANEL_SHEETS) {
				want = 2 // of those who are still to skate
			}
			n := len(pdfPages.FindAll(f.GetData(), -1))
			if n != want && (len(name) < 100 || n < want) { // nothing of a name is left out, however long
				t.Errorf("%q: %s has %d pages, want %d", name, f.GetFilename(), n, want)
			}
		}
	}
}

// What is not there is said, where it is asked for.
func TestDocumentsThatAreNotThere(t *testing.T) {
	r := newCup(t)
	get := func(req *pb.GetDocumentRequest) error {
		req.Event, req.Category = cup, category
		_, err := r.GetDocument(t.Context(), req)
		return err
	}
	refused(t, get(&pb.GetDocumentRequest{Segment: short}), pb.ErrorReason_FIELD_INVALID, "document")
	refused(t, get(&pb.GetDocumentRequest{Document: pb.Document_SEGMENT_RESULT}), pb.ErrorReason_FIELD_REQUIRED, "segment")
	refused(t, get(&pb.GetDocumentRequest{Document: pb.Document_STARTING_ORDER, Segment: short}), pb.ErrorReason_NOT_NOW)
	must(r.DrawStartingOrder(organiser(t), &pb.DrawStartingOrderRequest{Event: cup, Category: category, Segment: short}))
	refused(t, get(&pb.GetDocumentRequest{Document: pb.Document_SCORE_SHEETS, Segment: short, Entry: "1"}), pb.ErrorReason_NOT_NOW)
	refused(t, get(&pb.GetDocumentRequest{Document: pb.Document_SCORE_SHEETS, Segment: short, Entry: "9"}), pb.ErrorReason_NOT_IN_EVENT)
	refused(t, get(&pb.GetDocumentRequest{Document: pb.Document_SEGMENT_RESULT, Segment: short, Format: 9}), pb.ErrorReason_FIELD_INVALID, "format")
}
