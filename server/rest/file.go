package rest

import (
	"context"
	"mime"
	"net/http"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"google.golang.org/protobuf/proto"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// withFile is an answer that is a document to download.
type withFile interface{ GetFile() *pb.File }

// filesOr writes an answer that is a document as the document itself, and every
// other by the marshaler.
type filesOr struct{ runtime.Marshaler }

// ContentType returns the document's own type.
func (f filesOr) ContentType(v any) string {
	if answer, ok := v.(withFile); ok {
		return answer.GetFile().GetContentType()
	}
	return f.Marshaler.ContentType(v)
}

// Marshal returns the document's bytes.
func (f filesOr) Marshal(v any) ([]byte, error) {
	if answer, ok := v.(withFile); ok {
		return answer.GetFile().GetData(), nil
	}
	return f.Marshaler.Marshal(v)
}

// nameFile says to a browser under which name to save a document.
func nameFile(_ context.Context, w http.ResponseWriter, m proto.Message) error {
	if answer, ok := m.(withFile); ok {
		w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": answer.GetFile().GetFilename()}))
	}
	return nil
}
