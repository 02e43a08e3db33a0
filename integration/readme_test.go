package integration_test

import (
	"bytes"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// shown is a command of the README and what the README says it prints.
type shown struct {
	command, output string
}

// TestReadmeTellsTheTruth runs the curl and tally commands of the README and of the
// client's against a server and compares what they print. An ellipsis stands for
// anything.
func TestReadmeTellsTheTruth(t *testing.T) {
	var text []byte
	for _, name := range []string{"../README.md", "../client/README.md"} {
		more, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		text = append(text, more...)
	}
	s := start(t)
	tally := filepath.Join(t.TempDir(), "tally")
	if out, err := exec.Command("go", "build", "-o", tally, "../client/cmd/tally").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	ran := 0
	for _, c := range consoles(string(text)) {
		var got string
		switch {
		case strings.HasPrefix(c.command, "curl "):
			got = curl(t, s, c.command)
		case strings.HasPrefix(c.command, "go run ./client/cmd/tally "):
			args := words(strings.TrimPrefix(c.command, "go run ./client/cmd/tally "))
			out, err := exec.Command(tally, args...).Output()
			if err != nil {
				t.Errorf("%s: %v", c.command, err)
			}
			got = string(out)
		default:
			continue
		}
		ran++
		if !like(c.output).MatchString(strings.TrimSpace(got)) {
			t.Errorf("%s\nprints\n%s\nthe README says\n%s", c.command, got, c.output)
		}
	}
	if ran < 6 {
		t.Errorf("only %d commands were found in the two", ran)
	}
}

// consoles returns the commands of all console blocks.
func consoles(text string) []shown {
	var list []shown
	for _, block := range regexp.MustCompile("(?s)```console\n(.*?)```").FindAllStringSubmatch(text, -1) {
		for _, part := range strings.Split("\n"+block[1], "\n$ ")[1:] {
			command, output, _ := strings.Cut(part, "\n")
			for strings.HasSuffix(command, `\`) {
				var next string
				next, output, _ = strings.Cut(output, "\n")
				command = strings.TrimSuffix(command, `\`) + strings.TrimSpace(next)
			}
			list = append(list, shown{command, strings.TrimSpace(output)})
		}
	}
	return list
}

// words splits a command as a shell does, as far as the README needs it.
func words(command string) []string {
	var list []string
	for _, m := range regexp.MustCompile(`'([^']*)'|"([^"]*)"|(\S+)`).FindAllStringSubmatch(command, -1) {
		list = append(list, m[1]+m[2]+m[3])
	}
	return list
}

// curl does what "curl -s [-H HEADER] URL [-d BODY]" does, on the test's server.
func curl(t *testing.T, s *server, command string) string {
	t.Helper()
	var url, body string
	headers := http.Header{"Content-Type": {"application/x-www-form-urlencoded"}} // as curl does
	args := words(command)[1:]
	for i := 0; i < len(args); i++ {
		switch args[i] {
		case "-s":
		case "-d":
			i++
			body = args[i]
		case "-H":
			i++
			name, value, _ := strings.Cut(args[i], ": ")
			headers.Set(name, value)
		default:
			url = args[i]
		}
	}
	path, ok := strings.CutPrefix(url, "localhost:7080")
	if !ok {
		t.Fatalf("%s does not ask localhost:7080", command)
	}
	method, content := http.MethodGet, io.Reader(http.NoBody)
	if body != "" {
		method, content = http.MethodPost, bytes.NewBufferString(body)
	}
	req, err := http.NewRequestWithContext(t.Context(), method, s.url(path), content)
	if err != nil {
		t.Fatal(err)
	}
	req.Header = headers
	res, err := s.http.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// like makes a pattern of printed text: an ellipsis stands for anything, and
// the width of gaps does not matter.
func like(text string) *regexp.Regexp {
	pattern := regexp.QuoteMeta(text)
	pattern = strings.ReplaceAll(pattern, "…", "(?s:.*)")
	pattern = regexp.MustCompile(`[ \t]*\n[ \t]*`).ReplaceAllString(pattern, `\s+`)
	pattern = regexp.MustCompile(`[ \t]+`).ReplaceAllString(pattern, `[ \t]+`)
	return regexp.MustCompile(`^` + pattern + `$`)
}
