// Command image writes the image of the server as an OCI layout, without a container
// engine: image -version VERSION FOLDER PROGRAM... makes one image for each program,
// whose system and processor it reads from the program itself, and an index of all.
// The same programs make the same bytes. What it says of the image is what
// ../../Dockerfile says.
package main

import (
	"archive/tar"
	"bytes"
	"debug/buildinfo"
	"encoding/pem"
	"flag"
	"fmt"
	"io"
	"log"
	"os"
	"time"

	v1 "github.com/google/go-containerregistry/pkg/v1"
	"github.com/google/go-containerregistry/pkg/v1/empty"
	"github.com/google/go-containerregistry/pkg/v1/layout"
	"github.com/google/go-containerregistry/pkg/v1/mutate"
	"github.com/google/go-containerregistry/pkg/v1/tarball"
	"github.com/google/go-containerregistry/pkg/v1/types"
	"golang.org/x/crypto/x509roots/fallback/bundle"
)

// nobody is the number of the user and the group that the server runs as.
const nobody = 65532

// settings is how an engine starts the image.
var settings = v1.Config{
	User:         fmt.Sprintf("%d:%[1]d", nobody),
	Env:          []string{"RINKTALLY_DATA=/data", "RINKTALLY_GRPC_ADDR=0.0.0.0:7070", "RINKTALLY_HTTP_ADDR=0.0.0.0:7080"},
	Volumes:      map[string]struct{}{"/data": {}},
	ExposedPorts: map[string]struct{}{"7070/tcp": {}, "7080/tcp": {}},
	Healthcheck: &v1.HealthConfig{
		Test: []string{"CMD", "/rinktally", "healthcheck"}, Interval: 10 * time.Second, Timeout: 5 * time.Second, StartPeriod: 30 * time.Second,
	},
	Entrypoint: []string{"/rinktally"},
	Cmd:        []string{"serve"},
}

func main() {
	version := flag.String("version", "", "version, for the labels")
	flag.Parse()
	if *version == "" || flag.NArg() < 2 {
		log.Fatal("usage: image -version VERSION FOLDER PROGRAM...")
	}
	if err := write(flag.Arg(0), *version, flag.Args()[1:]); err != nil {
		log.Fatal(err)
	}
}

// write makes the layout in a folder, in place of one that is there.
func write(folder, version string, programs []string) error {
	index := mutate.IndexMediaType(empty.Index, types.OCIImageIndex)
	for _, program := range programs {
		image, err := imageOf(program, version)
		if err != nil {
			return fmt.Errorf("%s: %w", program, err)
		}
		config, err := image.ConfigFile()
		if err != nil {
			return err
		}
		index = mutate.AppendManifests(index, mutate.IndexAddendum{Add: image, Descriptor: v1.Descriptor{Platform: config.Platform()}})
	}
	if err := os.RemoveAll(folder); err != nil {
		return err
	}
	_, err := layout.Write(folder, index)
	return err
}

// imageOf makes the image of one program.
func imageOf(program, version string) (v1.Image, error) {
	built, err := buildinfo.ReadFile(program)
	if err != nil {
		return nil, err
	}
	of := map[string]string{}
	for _, s := range built.Settings {
		of[s.Key] = s.Value
	}
	if of["GOOS"] != "linux" || of["CGO_ENABLED"] != "0" {
		return nil, fmt.Errorf("it is for %s with CGO_ENABLED=%s; the image holds a static program for linux", of["GOOS"], of["CGO_ENABLED"])
	}
	code, err := os.ReadFile(program)
	if err != nil {
		return nil, err
	}
	content, err := files(code)
	if err != nil {
		return nil, err
	}
	layer, err := tarball.LayerFromOpener(func() (io.ReadCloser, error) {
		return io.NopCloser(bytes.NewReader(content)), nil
	}, tarball.WithMediaType(types.OCILayer), tarball.WithCompressedCaching)
	if err != nil {
		return nil, err
	}
	made, _ := time.Parse(time.RFC3339, of["vcs.time"]) // without it: the year 1, which says unknown
	config := &v1.ConfigFile{
		OS: of["GOOS"], Architecture: of["GOARCH"], Created: v1.Time{Time: made},
		Config: *settings.DeepCopy(), RootFS: v1.RootFS{Type: "layers"},
	}
	config.Config.Labels = map[string]string{
		"org.opencontainers.image.title":       "rinktally",
		"org.opencontainers.image.description": "Scores of figure skating events",
		"org.opencontainers.image.licenses":    "Apache-2.0",
		"org.opencontainers.image.version":     version,
		"org.opencontainers.image.revision":    of["vcs.revision"],
	}
	image := mutate.ConfigMediaType(mutate.MediaType(empty.Image, types.OCIManifestSchema1), types.OCIConfigJSON)
	if image, err = mutate.ConfigFile(image, config); err != nil {
		return nil, err
	}
	return mutate.Append(image, mutate.Addendum{Layer: layer, History: v1.History{CreatedBy: "deploy/release/image", Created: v1.Time{Time: made}}})
}

// files is the whole file system: the program, the certificates of public authorities,
// and the folder for data. Everything but that belongs to root and is read only.
func files(program []byte) ([]byte, error) {
	var content bytes.Buffer
	archive := tar.NewWriter(&content)
	roots := authorities()
	for _, f := range []struct {
		tar.Header
		data []byte
	}{
		{tar.Header{Name: "data/", Typeflag: tar.TypeDir, Mode: 0o700, Uid: nobody, Gid: nobody}, nil},
		{tar.Header{Name: "etc/", Typeflag: tar.TypeDir, Mode: 0o755}, nil},
		{tar.Header{Name: "etc/ssl/", Typeflag: tar.TypeDir, Mode: 0o755}, nil},
		{tar.Header{Name: "etc/ssl/certs/", Typeflag: tar.TypeDir, Mode: 0o755}, nil},
		{tar.Header{Name: "etc/ssl/certs/ca-certificates.crt", Mode: 0o644}, roots},
		{tar.Header{Name: "rinktally", Mode: 0o755}, program},
	} {
		f.Size, f.ModTime = int64(len(f.data)), time.Unix(0, 0)
		if err := archive.WriteHeader(&f.Header); err != nil {
			return nil, err
		}
		if _, err := archive.Write(f.data); err != nil {
			return nil, err
		}
	}
	err := archive.Close()
	return content.Bytes(), err
}

// authorities are the certificates that Mozilla trusts, as the pinned module has them.
// One that is trusted under conditions only is left out: a file cannot say them.
func authorities() []byte {
	var text []byte
	for root := range bundle.Roots() {
		if root.Constraint == nil {
			text = append(text, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: root.Certificate})...)
		}
	}
	return text
}
