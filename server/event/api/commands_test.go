package api

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// The table of commands has every call whose request carries a request id, and no
// other; every call has needs, and every answer of a command a sequence number.
func TestTableOfCommands(t *testing.T) {
	found, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(pb.EventService_ServiceDesc.ServiceName))
	if err != nil {
		t.Fatal(err)
	}
	methods := found.(protoreflect.ServiceDescriptor).Methods() //nolint:forcetypeassert // the test's own
	needs, changing := Needs(), 0
	for i := range methods.Len() {
		m := methods.Get(i)
		name := "/" + pb.EventService_ServiceDesc.ServiceName + "/" + string(m.Name())
		if need, ok := needs[name]; !ok || need.Free {
			t.Errorf("%s: needs %+v, %v", m.Name(), need, ok)
		}
		row, isCommand := commands[name]
		if changes := m.Input().Fields().ByName("request_id") != nil; changes != isCommand {
			t.Errorf("%s: changes an event: %v, in the table: %v", m.Name(), changes, isCommand)
		}
		if !isCommand {
			continue
		}
		changing++
		if strings.TrimSuffix(string(m.Input().Name()), "Request") != string(m.Name()) {
			t.Errorf("%s has a request by another name, %s", m.Name(), m.Input().Name())
		}
		if m.Output().Fields().ByName("sequence") == nil || (len(row.roles) == 0) != (m.Name() == "TakeSeat") || row.decide == nil || row.answer == nil {
			t.Errorf("%s: the row is not whole, or the answer has no sequence", m.Name())
		}
	}
	if changing != len(commands) || len(needs) != methods.Len() {
		t.Errorf("%d commands in the table, %d calls change events; %d needs, %d calls", len(commands), changing, len(needs), methods.Len())
	}
}
