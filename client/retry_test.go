package client

import (
	"reflect"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// calls are the calls of the whole contract by their full names.
func calls(t *testing.T) map[string]protoreflect.MethodDescriptor {
	t.Helper()
	list := map[string]protoreflect.MethodDescriptor{}
	protoregistry.GlobalFiles.RangeFilesByPackage("rinktally.v1", func(file protoreflect.FileDescriptor) bool {
		for i := range file.Services().Len() {
			service := file.Services().Get(i)
			for j := range service.Methods().Len() {
				m := service.Methods().Get(j)
				list["/"+string(service.FullName())+"/"+string(m.Name())] = m
			}
		}
		return true
	})
	if len(list) == 0 {
		t.Fatal("no services found")
	}
	return list
}

// TestEveryCallHasAMethod makes whoever adds a call add it to the client too.
func TestEveryCallHasAMethod(t *testing.T) {
	for name, call := range calls(t) {
		if _, ok := reflect.TypeFor[*Client]().MethodByName(string(call.Name())); !ok {
			t.Errorf("%s has no method of its name", name)
		}
	}
}

// TestEveryCallIsInTheRetryTable makes whoever adds a call decide whether it may
// be repeated. One that changes something may only with a request id.
func TestEveryCallIsInTheRetryTable(t *testing.T) {
	all := calls(t)
	for name, call := range all {
		again, listed := retryable[name]
		if !listed {
			t.Errorf("%s is not in the table", name)
		}
		if again && (call.IsStreamingClient() || call.IsStreamingServer()) {
			t.Errorf("%s is a stream, which is not repeated as a call is", name)
		}
		if again && changes(call) && call.Input().Fields().ByName("request_id") == nil {
			t.Errorf("%s changes something and has no request id", name)
		}
	}
	for name := range retryable {
		if all[name] == nil {
			t.Errorf("%s is in the table and in no proto", name)
		}
	}
}

// changes reports whether a call writes: those of events that do not read.
func changes(call protoreflect.MethodDescriptor) bool {
	if call.Parent().Name() != "EventService" {
		return false
	}
	for _, reading := range []string{"Get", "List", "Export", "Watch"} {
		if strings.HasPrefix(string(call.Name()), reading) {
			return false
		}
	}
	return true
}

func TestIdentifiedRequests(t *testing.T) {
	own := &pb.CallSkaterRequest{Event: "spring-cup", RequestId: "my-1"}
	if identified(own) != any(own) {
		t.Error("a request with an id of its own was changed")
	}
	read := &pb.GetEventRequest{Event: "spring-cup"}
	if identified(read) != any(read) {
		t.Error("a request that has no id was changed")
	}
	if identified((*pb.CallSkaterRequest)(nil)) != any((*pb.CallSkaterRequest)(nil)) {
		t.Error("no request became one")
	}
	bare := &pb.CallSkaterRequest{Event: "spring-cup"}
	first, second := identified(bare).(*pb.CallSkaterRequest), identified(bare).(*pb.CallSkaterRequest)
	if bare.GetRequestId() != "" || first.GetRequestId() == "" || first.GetRequestId() == second.GetRequestId() {
		t.Errorf("ids %q of the caller's, %q, %q", bare.GetRequestId(), first.GetRequestId(), second.GetRequestId())
	}
	if first.RequestId = ""; !proto.Equal(first, bare) {
		t.Errorf("more than the id was changed: %v", first)
	}
}
