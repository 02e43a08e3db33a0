package integration_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// TestScripts runs the tests of those modules of the pages that know no page, in
// Node.js: integration/scripts beside what they import.
func TestScripts(t *testing.T) {
	dir := t.TempDir()
	for to, from := range map[string]string{"": "scripts", "count": "../server/rest/web/count"} {
		if err := os.CopyFS(filepath.Join(dir, to), os.DirFS(from)); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "package.json"), []byte(`{"type": "module"}`), 0o600); err != nil {
		t.Fatal(err)
	}
	tests, err := filepath.Glob(filepath.Join(dir, "*.test.js"))
	if err != nil || len(tests) == 0 {
		t.Fatalf("no tests: %v", err)
	}
	command := exec.CommandContext(t.Context(), "node", append([]string{"--test"}, tests...)...)
	command.Dir = dir
	if out, err := command.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
