package integration_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/integration/npm"
)

// tools is where deploy/test/install.sh puts what the tests need from npm.
const tools = "../.build/npm/node_modules"

// TestTypesFit compiles three programs strictly, two over the types of the installed npm
// package and one over those that openapi-typescript makes of the OpenAPI document, and
// runs them against a server: what the types promise is there. A line of theirs that
// must not compile says so itself.
func TestTypesFit(t *testing.T) {
	tools, err := filepath.Abs(tools)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(tools); err != nil {
		t.Fatalf("TypeScript is not here; deploy/test/install.sh installs it: %v", err)
	}
	dir := npm.Install(t)
	types := filepath.Join(dir, "types")
	if err := os.CopyFS(types, os.DirFS("types")); err != nil {
		t.Fatal(err)
	}
	run := func(program string, args ...string) string {
		t.Helper()
		c := exec.CommandContext(t.Context(), "node", append([]string{filepath.Join(tools, program)}, args...)...)
		c.Dir = dir
		out, err := c.CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v\n%s", program, err, out)
		}
		return string(out)
	}
	document, err := filepath.Abs("../proto/openapi/openapi.json")
	if err != nil {
		t.Fatal(err)
	}
	run("openapi-typescript/bin/cli.js", document, "--output", filepath.Join(types, "api.d.ts"))
	run("typescript/bin/tsc", "--project", types)
	server := start(t)
	for _, c := range []struct{ program, says string }{
		{"contract", `["44.52","2025-26","3Lz","3T","44.52","elements: is empty: give the elements in the order skated","2","refused","5.90","2005-06","TypeError"]`},
		// 6.00 is the base value of 3Lz in ISU Communication 2000.
		{"offline", `["true","6.00","400 CODE_INVALID elements[0].code 2016-17","404","text/csv; charset=utf-8","true","6.00","Our club","rules/our-club/season.yaml:7: colour:","SEASON_UNKNOWN"]`},
		{"document", `["14.76","2025-26","10.10","4.66","CODE_INVALID"]`},
	} {
		out, err := exec.CommandContext(t.Context(), "node", filepath.Join(types, c.program+".js"), server.url("")).CombinedOutput()
		if err != nil || strings.TrimSpace(string(out)) != c.says {
			t.Errorf("%s: %v, says\n%swant\n%s", c.program, err, out, c.says)
		}
	}
}
