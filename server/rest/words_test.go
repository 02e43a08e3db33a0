package rest

import (
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Pages say nothing that does not stand in the words: no module holds a text of its
// own, and no template. /parts is left out, which shows the parts with invented
// people to whoever makes a page.
func TestTextsStandInTheWords(t *testing.T) {
	files := ownSite(t).files
	err := fs.WalkDir(files, ".", func(name string, _ fs.DirEntry, err error) error {
		if err != nil || strings.HasPrefix(name, "parts/parts.") {
			return err
		}
		find := map[string]func(string) []string{".js": textsOfModule, ".html": textsOfTemplate}[path.Ext(name)]
		if find == nil {
			return nil
		}
		source, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		for _, text := range find(string(source)) {
			t.Errorf("%s says %q itself: it belongs into words/en.json", name, text)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestTextsAreFound(t *testing.T) {
	for source, want := range map[string][]string{
		`make("button", { class: "row tools" }, "Withdraw")`:                 {"Withdraw"},
		"ask(`Disqualify ${e.name}?`, { yes: t(\"skaters.disqualify\") })":   {"Disqualify ${e.name}?"},
		`const STATES = { ON_ICE: "on the ice" }; // "a comment"`:            {"on the ice"},
		`setText(own, 'by draw') /* 'as entered' */`:                         {"by draw"},
		`act("SetPanel", { event }); if (key === "Escape") go("Ctrl Enter")`: nil,
		`import { t } from "../parts/words.js"; t("order.again")`:            nil,
		`node.closest("input, select")`:                                      nil,
		`make("p", { class: score ? "points" : "points open" })`:             nil,
		"make(\"li\", {}, `${n}. ${name}, ${club}`)":                         nil,
		"sessionStorage.getItem(`rinktally token ${event}`)":                 nil,
		"list(`${c.title}: ${c.segments.map((s) => `${s.key} x`)}`)":         nil,
	} {
		if got := textsOfModule(source); !slices.Equal(got, want) {
			t.Errorf("%s\nholds %q, want %q", source, got, want)
		}
	}
	for source, want := range map[string][]string{
		`{{define "title"}}{{t "desk.referee"}}{{end}}<p class="a note">{{t "x.y"}} · <b>Judges</b></p>`: {"Judges"},
		`<input placeholder="Your name" aria-label="{{t "x.y"}}"> <code>curl -s</code>`:                  {"Your name"},
		`<span>rinktally</span> <kbd>Enter</kbd> {{/* a comment */}} <pre>import x</pre>`:                nil,
	} {
		if got := textsOfTemplate(source); !slices.Equal(got, want) {
			t.Errorf("%s\nholds %q, want %q", source, got, want)
		}
	}
}

var (
	tokens    = regexp.MustCompile("(?s)//[^\n]*|/\\*.*?\\*/|\"(?:\\\\.|[^\"\\\\\n])*\"|'(?:\\\\.|[^'\\\\\n])*'|`(?:\\\\.|[^`\\\\])*`")
	inserted  = regexp.MustCompile(`\$\{[^}]*\}?`)
	sentence  = regexp.MustCompile(`^\p{Lu}\p{Ll}+|\p{L}{2,}[,.;:]? \p{L}{2,}`)
	notAText  = regexp.MustCompile(`^(<|rinktally |curl |#)|^\p{Lu}\p{Ll}+(\p{Lu}\p{Ll}+)+$|^\w+(, \.?\w+)+$|^[\w-]+-[\w-]+$`) // markup, keys and commands, names of calls, selectors
	notSaid   = regexp.MustCompile(`(class: [^,}]*|span\(|classList\.\w+\(|querySelector(All)?\(|closest\(|matches\(|includes\(|console\.error\(|\? "[a-z]+" : |s\.title === )$`)
	keyNames  = []string{"Alt", "ArrowDown", "ArrowLeft", "ArrowRight", "ArrowUp", "Backspace", "Ctrl", "Del", "Delete", "End", "Enter", "Esc", "Escape", "Home", "Space", "Tab", "Z"}
	elements  = regexp.MustCompile(`^(Lo|Lz|Eu|[A-Z][a-z]?(Sq|Sp|St)|CoSp|SpSq)$`)
	actions   = regexp.MustCompile(`(?s)\{\{.*?\}\}|<!--.*?-->`)
	examples  = regexp.MustCompile(`(?s)<(code|pre|kbd)[^>]*>.*?</(code|pre|kbd)>`)
	markup    = regexp.MustCompile(`<[^>]*>`)
	attribute = regexp.MustCompile(`\b(?:placeholder|title|aria-label|alt)="([^"]*)"`)
	properly  = []string{"rinktally", "HTTP", "gRPC", "current", "Retry-After"} // names, the same in every language
)

// textsOfModule finds the literals of a module that people would read: those of two
// words or more, and those that begin as a word of a sentence does. What is for
// programs is known by where it stands, or by how it looks.
func textsOfModule(source string) []string {
	var found []string
	for _, at := range tokens.FindAllStringIndex(source, -1) {
		text := source[at[0]:at[1]]
		if text[0] == '/' {
			continue
		}
		text = text[1 : len(text)-1]
		said := strings.TrimSpace(inserted.ReplaceAllString(text, "…"))
		before := source[max(0, at[0]-40):at[0]]
		if !sentence.MatchString(said) || notAText.MatchString(said) || notSaid.MatchString(before) || elements.MatchString(said) {
			continue
		}
		if keys := strings.FieldsFunc(said, func(r rune) bool { return r == ' ' || r == '+' }); !slices.ContainsFunc(keys, func(k string) bool { return !slices.Contains(keyNames, k) }) {
			continue
		}
		found = append(found, text)
	}
	return found
}

// textsOfTemplate finds what stands in a template outside of its actions and examples
// of code.
func textsOfTemplate(source string) []string {
	var found []string
	letters := regexp.MustCompile(`\p{L}{2,}`)
	codes := regexp.MustCompile(`^[A-Z]+(_[A-Z]+)+$|^\d|^/`) // reasons of errors, codes of elements, addresses
	source = actions.ReplaceAllString(source, "")
	texts := strings.FieldsFunc(markup.ReplaceAllString(examples.ReplaceAllString(source, "\n"), "\n"), func(r rune) bool { return r == '\n' })
	for _, m := range attribute.FindAllStringSubmatch(source, -1) {
		texts = append(texts, m[1])
	}
	for _, text := range texts {
		text = strings.Trim(text, " ,")
		if letters.MatchString(text) && !codes.MatchString(text) && !slices.Contains(properly, text) {
			found = append(found, text)
		}
	}
	return found
}

// Lines of modules fit a screen.
func TestLinesOfModulesFit(t *testing.T) {
	const longest = 160
	files := ownSite(t).files
	err := fs.WalkDir(files, ".", func(name string, _ fs.DirEntry, err error) error {
		if err != nil || path.Ext(name) != ".js" {
			return err
		}
		source, err := fs.ReadFile(files, name)
		for i, line := range strings.Split(string(source), "\n") {
			if n := len([]rune(line)); n > longest {
				t.Errorf("%s:%d has %d characters", name, i+1, n)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
