// Package npm installs the JavaScript client as its users do, for the tests.
package npm

import (
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/rinktally/rinktally/integration/wasm"
)

// packed is what was packed for this test program.
var packed struct {
	once sync.Once
	data []byte
	err  error
}

const tarball = "rinktally.tgz"

// Install packs the client as "make package" does, once for a test program, installs it
// without a network into a new project and returns the project's folder.
func Install(t testing.TB) string {
	t.Helper()
	packed.once.Do(func() { packed.data, packed.err = pack(t) })
	if packed.err != nil || packed.data == nil {
		t.Fatalf("the package was not packed: %v", packed.err)
	}
	project := t.TempDir()
	for name, data := range map[string][]byte{tarball: packed.data, "package.json": []byte(`{"name": "club", "private": true, "type": "module"}`)} {
		if err := os.WriteFile(filepath.Join(project, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	run(t, project, "npm", "install", "--offline", "--no-audit", "--no-fund", "./"+tarball)
	return project
}

func pack(t testing.TB) ([]byte, error) {
	t.Helper()
	dir := t.TempDir()
	for name, file := range wasm.Built(t) {
		if err := os.WriteFile(filepath.Join(dir, name), file.Data, 0o600); err != nil {
			return nil, err
		}
	}
	run(t, wasm.Root(t), "client/web/package.sh", filepath.Join(dir, "out"), dir)
	made, err := filepath.Glob(filepath.Join(dir, "out", "*.tgz"))
	if err != nil || len(made) != 1 {
		t.Fatalf("packed were %v, %v", made, err)
	}
	return os.ReadFile(made[0])
}

func run(t testing.TB, dir, program string, args ...string) {
	t.Helper()
	c := exec.CommandContext(t.Context(), program, args...) //nolint:gosec // npm, or a script of the project
	c.Dir = dir
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%s %v: %v\n%s", program, args, err, out)
	}
}
