package rest

import (
	"encoding/json"
	"net/http/httptest"
	"strings"
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

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
// that it is one, not JSON.
func TestDocumentsAreDescribedAsSuch(t *testing.T) {
	var described openapi.Document
	if err := json.Unmarshal(openapi.JSON, &described); err != nil {
		t.Fatal(err)
	}
	for _, path := range described.Paths {
		for _, o := range *path.Value {
			service, name, _ := strings.Cut(o.Value.GRPC, "/")
			found, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(service + "." + name))
			if err != nil {
				t.Fatal(err)
			}
			asJSON := o.Value.Responses.Get("200").Content.Get("application/json") != nil
			m := found.(protoreflect.MethodDescriptor)
			if file := m.Output().Fields().ByName("file") != nil; asJSON == (file || m.IsStreamingServer()) {
				t.Errorf("%s answers with a document: %v, with JSON: %v", o.Value.GRPC, file, asJSON)
			}
		}
	}
}
