package deploy_test

import (
	"io"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// pages are all pages of the server, with the demo's event where one is needed.
var pages = []string{
	"/", "/count", "/trust", "/practice", "/plan", "/program", "/seasons", "/seasons/2025-26", "/seasons/compare", "/developers", "/docs/", "/docs/event", "/docs/errors", "/events", "/events/demo-cup",
	"/desk", "/desk/demo-cup", "/desk/demo-cup/organiser", "/desk/demo-cup/technical", "/desk/demo-cup/judge", "/desk/demo-cup/referee",
}

// loads finds what a page, a style or a module loads.
var loads = map[string]*regexp.Regexp{
	"text/html": regexp.MustCompile(`(?i)<(?:script|img|iframe|source|video|audio|embed|object)\b[^>]*?\b(?:src|data)\s*=\s*["']([^"']+)["']` +
		`|<link\b[^>]*?\bhref\s*=\s*["']([^"']+)["']`),
	"text/css": regexp.MustCompile(`(?i)@import\s+["']([^"']+)["']|\burl\(\s*["']?([^"')]+)["']?\s*\)`),
	"text/javascript": regexp.MustCompile(`(?m)^(?:(?:import|export|\})[^"'\n]*\bfrom |import )["']([^"']+)["'];?$` +
		`|\b(?:import|fetch)\(\s*["']([^"']+)["']` +
		`|\bnew (?:Worker|SharedWorker|EventSource)\(\s*["']([^"']+)["']` +
		`|\bnew URL\(\s*["'](\w+:[^"']+|//[^"']+)["']` +
		`|\bnew URL\(\s*["']([^"']*[^"'/])["'], import\.meta\.url`), // a file beside the module; others have a base of their own
}

// Nothing that is served asks for anything from another site: no script, style,
// font or picture. What people may click is theirs to follow. The browser is told so
// too, which holds for what these patterns do not see.
func TestNothingIsLoadedFromElsewhere(t *testing.T) {
	s := serve(t, "", "--demo")
	seen := map[string]bool{}
	var queue []string
	ask := func(path string) {
		if !seen[path] {
			seen[path] = true
			queue = append(queue, path)
		}
	}
	for _, page := range append(pages, "/embed/scoreboard.js") {
		ask(page)
	}
	files := map[string]int{}
	for len(queue) > 0 {
		path := queue[0]
		queue = queue[1:]
		kind, text := s.file(path)
		files[kind]++
		from, err := url.Parse(path)
		if err != nil {
			t.Fatal(err)
		}
		if loads[kind] == nil {
			continue
		}
		for _, match := range loads[kind].FindAllStringSubmatch(text, -1) {
			target := strings.Join(match[1:], "")
			switch to, err := from.Parse(target); {
			case err != nil:
				t.Errorf("%s loads %s: %v", path, target, err)
			case to.Host != "":
				t.Errorf("%s loads %s", path, target)
			case to.Scheme != "data":
				ask(to.Path)
			}
		}
	}
	t.Logf("files by kind: %v", files)
	if files["text/html"] < len(pages) || files["text/css"] < 2 || files["text/javascript"] < 10 {
		t.Errorf("only these files were found: %v", seen)
	}
}

// file returns a served file and its kind. A page must let the browser load from the
// server only.
func (s *server) file(path string) (kind, text string) {
	s.t.Helper()
	res, err := s.http.Get(s.url + path)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		s.t.Errorf("%s: %d, %v", path, res.StatusCode, err)
	}
	kind, _, _ = strings.Cut(res.Header.Get("Content-Type"), ";")
	if policy := res.Header.Get("Content-Security-Policy"); kind == "text/html" && !strings.HasPrefix(policy, "default-src 'self';") {
		s.t.Errorf("%s: its content security policy is %q", path, policy)
	}
	return kind, string(data)
}
