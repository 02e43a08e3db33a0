package main

import (
	"archive/tar"
	"bytes"
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	v1 "github.com/google/go-containerregistry/pkg/v1"
	"github.com/google/go-containerregistry/pkg/v1/layout"
	"github.com/google/go-containerregistry/pkg/v1/mutate"
	"github.com/google/go-containerregistry/pkg/v1/validate"
)

// build makes a program that does nothing, for a system and a processor.
func build(t *testing.T, system, processor string) string {
	t.Helper()
	source, program := filepath.Join(t.TempDir(), "main.go"), filepath.Join(t.TempDir(), "program")
	if err := os.WriteFile(source, []byte("package main\nfunc main() {}\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), "go", "build", "-trimpath", "-o", program, source)
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+system, "GOARCH="+processor)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return program
}

// The layout holds an image for each processor, with the files, owners and settings of
// the Dockerfile, and is the same bytes each time.
func TestLayout(t *testing.T) {
	programs := []string{build(t, "linux", "amd64"), build(t, "linux", "arm64")}
	folder := filepath.Join(t.TempDir(), "image")
	var digests []v1.Hash
	for range 2 { // the second lies in place of the first
		if err := write(folder, "v1.2.3", programs); err != nil {
			t.Fatal(err)
		}
		index, err := layout.ImageIndexFromPath(folder)
		if err != nil {
			t.Fatal(err)
		}
		if err := validate.Index(index); err != nil {
			t.Error(err)
		}
		digest, err := index.Digest()
		if err != nil {
			t.Fatal(err)
		}
		digests = append(digests, digest)
	}
	if digests[0] != digests[1] {
		t.Errorf("the same programs make %v", digests)
	}
	index, _ := layout.ImageIndexFromPath(folder)
	manifest, err := index.IndexManifest()
	if err != nil || len(manifest.Manifests) != len(programs) {
		t.Fatalf("%v, %v", manifest, err)
	}
	for i, processor := range []string{"amd64", "arm64"} {
		if on := manifest.Manifests[i].Platform; on == nil || on.OS != "linux" || on.Architecture != processor {
			t.Errorf("image %d is for %v, want linux/%s", i, on, processor)
		}
		image, err := index.Image(manifest.Manifests[i].Digest)
		if err != nil {
			t.Fatal(err)
		}
		config, err := image.ConfigFile()
		if err != nil {
			t.Fatal(err)
		}
		if version := config.Config.Labels["org.opencontainers.image.version"]; version != "v1.2.3" {
			t.Errorf("the label of the version is %q", version)
		}
		checkFiles(t, mutate.Extract(image), programs[i])
		checkAgainstDockerfile(t, config.Config)
	}
}

// checkFiles looks at the whole file system of an image.
func checkFiles(t *testing.T, content io.ReadCloser, program string) {
	t.Helper()
	defer content.Close()
	found := map[string]string{}
	for archive := tar.NewReader(content); ; {
		h, err := archive.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		found[strings.TrimSuffix(h.Name, "/")] = fmt.Sprintf("%c %o %d:%d", h.Typeflag, h.Mode, h.Uid, h.Gid)
		data, err := io.ReadAll(archive)
		if err != nil {
			t.Fatal(err)
		}
		switch h.Name {
		case "rinktally":
			if want, err := os.ReadFile(program); err != nil || !bytes.Equal(data, want) {
				t.Errorf("the program in the image is another one, %v", err)
			}
		case "etc/ssl/certs/ca-certificates.crt":
			if n := len(regexp.MustCompile(`BEGIN CERTIFICATE`).FindAll(data, -1)); n < 50 || !x509.NewCertPool().AppendCertsFromPEM(data) {
				t.Errorf("the image has %d authorities", n)
			}
		}
	}
	if want := map[string]string{
		"data": "5 700 65532:65532", "etc": "5 755 0:0", "etc/ssl": "5 755 0:0", "etc/ssl/certs": "5 755 0:0",
		"etc/ssl/certs/ca-certificates.crt": "0 644 0:0", "rinktally": "0 755 0:0",
	}; !maps.Equal(found, want) {
		t.Errorf("the image holds %v", found)
	}
}

// checkAgainstDockerfile compares the settings with the last stage of the Dockerfile.
func checkAgainstDockerfile(t *testing.T, is v1.Config) {
	t.Helper()
	text, err := os.ReadFile("../../Dockerfile")
	if err != nil {
		t.Fatal(err)
	}
	_, last, _ := strings.Cut(string(text), "\nFROM scratch\n")
	list := func(words []string) string { return `["` + strings.Join(words, `", "`) + `"]` }
	ports := slices.Sorted(maps.Keys(is.ExposedPorts))
	h := is.Healthcheck
	said := map[string]string{
		"USER":        is.User,
		"ENV":         strings.Join(is.Env, " "),
		"VOLUME":      strings.Join(slices.Sorted(maps.Keys(is.Volumes)), " "),
		"EXPOSE":      strings.ReplaceAll(strings.Join(ports, " "), "/tcp", ""),
		"HEALTHCHECK": fmt.Sprintf("--interval=%v --timeout=%v --start-period=%v %s %s", h.Interval, h.Timeout, h.StartPeriod, h.Test[0], list(h.Test[1:])),
		"ENTRYPOINT":  list(is.Entrypoint),
		"CMD":         list(is.Cmd),
	}
	for _, line := range regexp.MustCompile(`(?m)^([A-Z]+) (.*)$`).FindAllStringSubmatch(last, -1) {
		if line[1] == "COPY" {
			continue
		}
		if said[line[1]] != line[2] {
			t.Errorf("the Dockerfile says %s %s, the image has %q", line[1], line[2], said[line[1]])
		}
		delete(said, line[1])
	}
	if len(said) > 0 {
		t.Errorf("the Dockerfile does not say %v", said)
	}
}

// What could not run from the image is refused.
func TestRefused(t *testing.T) {
	for name, c := range map[string]struct{ program, want string }{
		"another system": {build(t, "windows", "amd64"), "static program for linux"},
		"no program":     {"main.go", "main.go: "},
		"missing":        {"none", "no such file"},
	} {
		folder := filepath.Join(t.TempDir(), "image")
		if err := write(folder, "v1", []string{c.program}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := os.Stat(folder); err == nil {
			t.Errorf("%s: a layout is written all the same", name)
		}
	}
}
