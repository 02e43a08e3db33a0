package events_test

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/pflag"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/server/app"
	"github.com/rinktally/rinktally/server/config"
	"github.com/rinktally/rinktally/server/site"
)

// A finished event is written for any web space, beside a running server: every link
// leads to a file of the folder, the data is what everybody is answered, and the papers
// are those of the server.
func TestEventAsSite(t *testing.T) {
	data := t.TempDir()
	s := start(t, func(c *config.Config) { c.Data = data })
	event := play(t, newDesk("desk", s.admin, s.conn(t)))
	var c config.Config
	c.Register(pflag.NewFlagSet("test", pflag.ContinueOnError))
	c.Data = data
	desk := must(app.OpenDesk(t.Context(), c, true))
	defer desk.Close()
	dir := filepath.Join(t.TempDir(), "web")
	if keep := os.Getenv("RINKTALLY_SITE"); keep != "" { // to be looked at
		dir = keep
	}
	if err := site.Write(t.Context(), desk.Public(), event, dir); err != nil {
		t.Fatal(err)
	}
	if err := site.Write(t.Context(), desk.Public(), event, dir); err == nil {
		t.Error("a folder that is there was written to")
	}
	counts := map[string]int{}
	links := regexp.MustCompile(`(?:href|src)="([^"]*)"`)
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		counts[filepath.Ext(path)]++
		text := must(os.ReadFile(path))
		if bytes.Contains(text, []byte("rt_")) {
			t.Errorf("%s holds a token", path)
		}
		if filepath.Ext(path) != ".html" {
			return nil
		}
		for _, link := range links.FindAllStringSubmatch(string(text), -1) {
			file, part, _ := strings.Cut(link[1], "#")
			if file == "data:," {
				continue
			}
			if part != "" && !bytes.Contains(text, []byte(`id="`+part+`"`)) {
				t.Errorf("%s: %s leads nowhere", path, link[1])
			}
			if _, err := os.Stat(filepath.Join(filepath.Dir(path), filepath.FromSlash(file))); err != nil {
				t.Errorf("%s: %s leads nowhere", path, link[1])
			}
		}
		return nil
	})
	if err != nil || counts[".html"] != 5 || counts[".json"] != 1+2+4+24 || counts[".pdf"] != 2+4*3 || counts[".csv"] != counts[".pdf"] || counts[".css"] != 1 {
		t.Errorf("the folder has %v, %v", counts, err)
	}
	at := "/v1/events/" + event
	for file, path := range map[string]string{
		"event.json": at, "senior-women/standing.json": at + "/categories/senior-women/standing",
		"senior-men/free-skating/standing.json":       at + "/categories/senior-men/segments/free-skating/standing",
		"senior-men/free-skating/performances/7.json": at + "/categories/senior-men/segments/free-skating/performances/7",
	} {
		_, answer, _ := bytes.Cut(get(t, s, path), []byte("\n"))
		var want, found bytes.Buffer
		if json.Compact(&want, answer) != nil || json.Compact(&found, must(os.ReadFile(filepath.Join(dir, filepath.FromSlash(file))))) != nil || want.String() != found.String() {
			t.Errorf("%s is\n%s\nand the server answers\n%s", file, found.String(), want.String())
		}
	}
	index := string(must(os.ReadFile(filepath.Join(dir, "index.html"))))
	for _, want := range []string{"Official", "Pearl Snowhollow", "senior-women/short-program/index.html"} {
		if !strings.Contains(index, want) {
			t.Errorf("the first page does not have %q", want)
		}
	}

	must(pb.NewEventServiceClient(s.conn(t)).UpdateEvent(with(t.Context(), s.admin), &pb.UpdateEventRequest{Event: event, Restricted: new(true)}))
	if err := site.Write(t.Context(), desk.Public(), event, filepath.Join(t.TempDir(), "web")); reason(err) != "UNAUTHENTICATED" {
		t.Errorf("an event that not everybody may read: %v", err)
	}
}
