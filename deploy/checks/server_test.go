package checks_test

import (
	"bufio"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// server is the address of a running server, as http://host:port.
var server string

func TestMain(m *testing.M) {
	folder, err := os.MkdirTemp("", "rinktally-checks-")
	if err != nil {
		panic(err)
	}
	code := 1
	stop, err := start(folder)
	if err == nil {
		code = m.Run()
		err = stop()
	}
	_ = os.RemoveAll(folder)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		code = 1
	}
	os.Exit(code)
}

// start builds the server of this project into a folder, starts it there and waits
// until it listens.
func start(folder string) (stop func() error, err error) {
	program := filepath.Join(folder, "rinktally")
	if out, err := exec.Command("go", "-C", "../..", "build", "-o", program, "./server/cmd/rinktally").CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%w: %s", err, out)
	}
	cmd := exec.Command(program, "serve", "--data", filepath.Join(folder, "data"), "--grpc-addr", "127.0.0.1:0", "--http-addr", "127.0.0.1:0")
	var log strings.Builder
	cmd.Stderr = &log
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	for lines := bufio.NewScanner(out); server == "" && lines.Scan(); {
		if _, url, ok := strings.Cut(lines.Text(), "pages and REST"); ok {
			server = strings.TrimSuffix(strings.TrimSpace(url), "/")
		}
	}
	if server == "" {
		err := cmd.Wait()
		return nil, fmt.Errorf("the server did not start: %w: %s", err, log.String())
	}
	read := make(chan struct{})
	go func() {
		defer close(read)
		_, _ = io.Copy(io.Discard, out)
	}()
	return func() error {
		_ = cmd.Process.Signal(syscall.SIGTERM)
		<-read
		if err := cmd.Wait(); err != nil {
			return fmt.Errorf("the server ended with %w: %s", err, log.String())
		}
		return nil
	}, nil
}

// get returns an answer of the running server.
func get(t *testing.T, path string) (status int, body string) {
	t.Helper()
	res, err := http.Get(server + path)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, string(data)
}

// read returns a file of the folder above.
func read(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}
