package integration_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// TestScripts runs the tests of those modules of the pages that know no page, in
// Node.js: integration/scripts beside what they import, as a server has it.
func TestScripts(t *testing.T) {
	dir := t.TempDir()
	of := map[string]string{"assets": "scripts", "embed": "../client/web"}
	for _, page := range []string{"count", "parts", "plan", "practice"} {
		of["assets/"+page] = "../server/rest/web/" + page
	}
	for to, from := range of {
		if err := os.CopyFS(filepath.Join(dir, to), os.DirFS(from)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "package.json"), []byte(`{"type": "module"}`), 0o600); err != nil {
		t.Fatal(err)
	}
	tests, err := filepath.Glob(filepath.Join(dir, "assets", "*.test.js"))
	if err != nil || len(tests) == 0 {
		t.Fatalf("no tests: %v", err)
	}
	command := exec.CommandContext(t.Context(), "node", append([]string{"--test"}, tests...)...)
	command.Dir = dir
	if out, err := command.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
