package app

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/spf13/pflag"

	"github.com/rinktally/rinktally/proto/openapi"
	"github.com/rinktally/rinktally/server/config"
)

// Every method of every service that the server registers has a row that says who
// may call it, and no row is for a method that is not there.
func TestEveryRegisteredMethodHasNeeds(t *testing.T) {
	var c config.Config
	c.Register(pflag.NewFlagSet("test", pflag.ContinueOnError))
	c.GRPCAddr, c.HTTPAddr, c.Data = "127.0.0.1:0", "127.0.0.1:0", filepath.Join(t.TempDir(), "data")
	a, err := New(t.Context(), c, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer a.close()
	rows := needs()
	for service, info := range a.grpc.GetServiceInfo() {
		for _, m := range info.Methods {
			name := "/" + service + "/" + m.Name
			if _, ok := rows[name]; !ok {
				t.Errorf("%s is registered, but nothing says who may call it", name)
			}
			delete(rows, name)
		}
	}
	for name := range rows {
		t.Errorf("who may call %s is said, but it is not registered", name)
	}
}

// The OpenAPI document says of every call what is asked of its caller: nothing, a
// token, or either where that depends on the event.
func TestDocumentSaysWhoMayCall(t *testing.T) {
	var d openapi.Document
	if err := json.Unmarshal(openapi.JSON, &d); err != nil {
		t.Fatal(err)
	}
	rows, token := needs(), openapi.Security{"token": {}}
	for _, p := range d.Paths {
		for _, o := range *p.Value {
			need, want := rows["/"+o.Value.GRPC], []openapi.Security{token}
			switch {
			case need.Free:
				want = []openapi.Security{}
			case need.Open, need.Read:
				want = []openapi.Security{{}, token}
			}
			if fmt.Sprint(o.Value.Security) != fmt.Sprint(want) {
				t.Errorf("%s is described with %v, want %v", o.Value.GRPC, o.Value.Security, want)
			}
		}
	}
}
