package client

import (
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
)

// TestEveryMethodIsInTheRetryTable makes whoever adds an RPC decide whether it
// may be repeated.
func TestEveryMethodIsInTheRetryTable(t *testing.T) {
	methods := map[string]bool{}
	protoregistry.GlobalFiles.RangeFilesByPackage("rinktally.v1", func(file protoreflect.FileDescriptor) bool {
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
		return true
	})
	if len(methods) == 0 {
		t.Fatal("no services found")
	}
	for name := range retryable {
		if !methods[name] {
			t.Errorf("%s is in the table and in no proto", name)
		}
	}
}
