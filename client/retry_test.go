package client

import (
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// served are the protos whose services an Authority has.
var served = []protoreflect.FileDescriptor{
	pb.File_rinktally_v1_rules_proto, pb.File_rinktally_v1_scoring_proto, pb.File_rinktally_v1_program_proto,
	pb.File_rinktally_v1_result_proto,
}

// TestEveryMethodIsInTheRetryTable makes whoever adds an RPC decide whether it
// may be repeated.
func TestEveryMethodIsInTheRetryTable(t *testing.T) {
	methods := map[string]bool{}
	for _, file := range served {
		for i := range file.Services().Len() {
			service := file.Services().Get(i)
			for j := range service.Methods().Len() {
				m := service.Methods().Get(j)
				name := "/" + string(service.FullName()) + "/" + string(m.Name())
				methods[name] = true
				again, listed := retryable[name]
				if !listed {
					t.Errorf("%s is not in the table", name)
				}
				if again && m.IsStreamingClient() {
					t.Errorf("%s sends a stream, which cannot be sent again", name)
				}
			}
		}
	}
	if len(methods) == 0 {
		t.Fatal("no services found")
	}
	for name := range retryable {
		if !methods[name] {
			t.Errorf("%s is in the table and in no proto", name)
		}
	}
}
