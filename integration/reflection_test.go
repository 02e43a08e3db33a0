package integration_test

import (
	"bytes"
	"net/http"
	"os/exec"
	"reflect"
	"slices"
	"strings"
	"testing"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
)

// byReflection runs a gRPC client that knows the contract from the server's
// reflection only. It is pinned among the tools and built on first use.
func byReflection(t *testing.T, stdin string, args ...string) (stdout, stderr string, err error) {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), "go", append([]string{"tool", "-modfile=deploy/tools/go.mod", "grpcurl", "-plaintext"}, args...)...)
	cmd.Dir = ".."
	cmd.Stdin = strings.NewReader(stdin)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	err = cmd.Run()
	return out.String(), errs.String(), err
}

// TestReflection lists, describes and calls through reflection.
func TestReflection(t *testing.T) {
	server := start(t)
	addr := server.app.GRPCAddr()

	out, errs, err := byReflection(t, "", addr, "list")
	if err != nil {
		t.Fatalf("list: %v: %s", err, errs)
	}
	list := strings.Fields(out)
	for _, name := range []string{
		pb.RulesService_ServiceDesc.ServiceName, pb.ScoringService_ServiceDesc.ServiceName, pb.ProgramService_ServiceDesc.ServiceName,
		pb.ResultService_ServiceDesc.ServiceName, "grpc.health.v1.Health",
	} {
		if !slices.Contains(list, name) {
			t.Errorf("%s is not among the listed services %q", name, list)
		}
	}

	for symbol, wants := range map[string][]string{
		"rinktally.v1.ScoringService":      {"rpc ScoreSegment", "rpc CallLevels", "rpc ScoreSegments ( stream .rinktally.v1.ScoreSegmentsRequest ) returns ( stream"},
		"rinktally.v1.ScoreSegmentRequest": {"repeated .rinktally.v1.MarkedElement elements", "string category"},
		"rinktally.v1.ErrorReason":         {"GOE_VALUE_UNKNOWN"},
	} {
		out, errs, err := byReflection(t, "", addr, "describe", symbol)
		if err != nil {
			t.Errorf("describe %s: %v: %s", symbol, err, errs)
		}
		for _, want := range wants {
			if !strings.Contains(out, want) {
				t.Errorf("describe %s does not tell %q:\n%s", symbol, want, out)
			}
		}
	}

	// A call, beside the same one over REST.
	request := strings.Replace(good[scoreCall], "{", `{"season": "2025-26",`, 1)
	out, errs, err = byReflection(t, request, "-emit-defaults", "-d", "@", addr, "rinktally.v1.ScoringService/ScoreSegment")
	if err != nil {
		t.Fatalf("call: %v: %s", err, errs)
	}
	code, answer, err := server.post(t.Context(), goodPath(scoreCall), "application/json", []byte(good[scoreCall]))
	if err != nil || code != http.StatusOK {
		t.Fatalf("HTTP %d, %v", code, err)
	}
	if !reflect.DeepEqual(tree(t, []byte(out)), tree(t, answer)) {
		t.Errorf("by reflection the answer is\n%s\nover REST\n%s", out, answer)
	}

	// A refusal, with its details.
	_, errs, err = byReflection(t, change(t, request, "elements[0].marks[2]", "6"), "-d", "@", addr, "rinktally.v1.ScoringService/ScoreSegment")
	if err == nil || !strings.Contains(errs, "InvalidArgument") || !strings.Contains(errs, "MARK_OUT_OF_RANGE") || !strings.Contains(errs, "elements[0].marks[2]") {
		t.Errorf("a mark of 6: %v: %s", err, errs)
	}
}
