package rest

import (
	"encoding/json"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/proto/openapi"
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

// The description of the REST paths says of every call whose answer is a document
// that it is bytes, not JSON.
func TestDocumentsAreDescribedAsSuch(t *testing.T) {
	var described struct {
		Paths map[string]map[string]struct {
			OperationID string
			Produces    []string
			Responses   map[string]struct{ Schema struct{ Format string } }
		}
	}
	if err := json.Unmarshal(openapi.JSON, &described); err != nil {
		t.Fatal(err)
	}
	binary := map[string]bool{}
	for _, path := range described.Paths {
		for _, operation := range path {
			if operation.Responses["200"].Schema.Format == "binary" && !strings.HasPrefix(operation.Produces[0], "application/json") {
				binary[operation.OperationID] = true
			}
		}
	}
	methods := pb.File_rinktally_v1_event_proto.Services().ByName("EventService").Methods()
	for i := range methods.Len() {
		m := methods.Get(i)
		if file := m.Output().Fields().ByName("file") != nil; file != binary[string(m.Name())] {
			t.Errorf("%s answers with a document: %v, described so: %v", m.Name(), file, !file)
		}
	}
}
