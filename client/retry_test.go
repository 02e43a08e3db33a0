package client

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/api/annotations"
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

// TestWhatChangesHasARequestID holds the rule that calls are repeated by: those that
// change something have a request id. They are the calls of EventService whose REST
// method is not GET, and those of PracticeService that add something: its other calls
// come to the same when they are repeated, as those of a rehearsal do.
func TestWhatChangesHasARequestID(t *testing.T) {
	same := []string{"PreviewCorrection", "BeginRehearsal", "EndRehearsal"}
	changing, reading := 0, 0
	for name, call := range calls(t) {
		rule, _ := proto.GetExtension(call.Options(), annotations.E_Http).(*annotations.HttpRule)
		changes := call.Parent().Name() == "EventService" && rule.GetGet() == "" && !slices.Contains(same, string(call.Name())) ||
			call.Parent().Name() == "PracticeService" && strings.HasPrefix(string(call.Name()), "Add")
		if changes {
			changing++
		} else {
			reading++
		}
		if id := call.Input().Fields().ByName("request_id"); changes != (id != nil) {
			t.Errorf("%s changes something: %t; has a request id: %t", name, changes, id != nil)
		}
		once := slices.Contains([]string{"CreateToken", "CreateSeatCode", "TakeSeat", "CreateBook", "RenewBookToken"}, string(call.Name())) // shows a secret
		if repeatable(name) == once {
			t.Errorf("%s is repeated: %t", name, !once)
		}
	}
	if changing == 0 || reading == 0 {
		t.Errorf("%d calls change something, %d do not", changing, reading)
	}
	if repeatable("/grpc.health.v1.Health/Check") {
		t.Error("a call of another contract is repeated")
	}
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
