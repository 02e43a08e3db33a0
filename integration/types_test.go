package integration_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rinktally/rinktally/integration/wasm"
)

// npm is where deploy/test/install.sh puts what the tests need from npm.
const npm = "../.build/npm/node_modules"

// TestTypesFit compiles two programs strictly, one over the types of the JavaScript
// client and one over those that openapi-typescript makes of the OpenAPI document, and
// runs both against a server: what the types promise is there. A line of theirs that
// must not compile says so itself.
func TestTypesFit(t *testing.T) {
	tools, err := filepath.Abs(npm)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(tools); err != nil {
		t.Fatalf("TypeScript is not here; deploy/test/install.sh installs it: %v", err)
	}
	dir := t.TempDir()
	types := filepath.Join(dir, "integration", "types")
	for to, from := range map[string]string{filepath.Join(dir, "client", "web"): "../client/web", types: "types"} {
		if err := os.CopyFS(to, os.DirFS(from)); err != nil {
			t.Fatal(err)
		}
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
	wasm.Package(t, filepath.Join(dir, "client", "web"))
	for _, c := range []struct{ program, says string }{
		{"contract", `["44.52","2025-26","3Lz","3T","44.52","elements: is empty: give the elements in the order skated","2","refused"]`},
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
