package integration_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/rinktally/rinktally/integration/npm"
)

// copied copies a file into a folder and returns where it is then.
func copied(t testing.TB, file, dir string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(dir, filepath.Base(file))
	if err := os.WriteFile(to, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return to
}

// TestPackageInNode installs the npm package into an empty project and uses all of it in
// Node.js: each service of a server, both watches, errors, signals, the engine, and a
// server with faults, over which it repeats what may be repeated.
func TestPackageInNode(t *testing.T) {
	project := npm.Install(t)
	installed, err := filepath.Glob(filepath.Join(project, "node_modules", "[^.]*"))
	if err != nil || len(installed) != 1 {
		t.Errorf("installed are %v, %v; the package needs no other", installed, err)
	}
	s := start(t)
	token, err := s.app.FirstAdminToken(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	c := exec.CommandContext(t.Context(), "node", "--test-reporter=spec", copied(t, "testdata/uses.mjs", project))
	c.Env = append(os.Environ(), "SERVER="+s.url(""), "TOKEN="+token)
	out, err := c.CombinedOutput()
	t.Logf("%s", out)
	if err != nil {
		t.Errorf("Node.js ended with %v", err)
	}
}
