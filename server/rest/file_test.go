package rest

import (
	"net/http/httptest"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// A document is the answer itself, with its type and name; other answers stay
// JSON.
func TestDocumentsAreTheAnswer(t *testing.T) {
	marshaler := filesOr{newStrictJSON()}
	document := &pb.GetDocumentResponse{File: &pb.File{Filename: "spring-cup.pdf", ContentType: "application/pdf", Data: []byte("%PDF-")}}
	data, err := marshaler.Marshal(document)
	if err != nil || string(data) != "%PDF-" || marshaler.ContentType(document) != "application/pdf" {
		t.Errorf("%q as %s, %v", data, marshaler.ContentType(document), err)
	}
	w := httptest.NewRecorder()
	if err := nameFile(t.Context(), w, document); err != nil || w.Header().Get("Content-Disposition") != "attachment; filename=spring-cup.pdf" {
		t.Errorf("%v, %v", w.Header(), err)
	}
	other := &pb.ListEntriesResponse{}
	data, err = marshaler.Marshal(other)
	if err != nil || string(data) != `{"entries":[]}` || marshaler.ContentType(other) != "application/json" {
		t.Errorf("%q as %s, %v", data, marshaler.ContentType(other), err)
	}
	w = httptest.NewRecorder()
	if err := nameFile(t.Context(), w, other); err != nil || len(w.Header()) > 0 {
		t.Errorf("%v, %v", w.Header(), err)
	}
}
