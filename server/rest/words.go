package rest

import (
	"encoding/json"
	"fmt"
	"html/template"
	"io/fs"
	"maps"
	"net/http"
	"regexp"
	"slices"
	"strings"

	"golang.org/x/text/language"
)

// english is the language that has every word.
const english = "en"

// catalog holds the words of the pages in one language by their keys, such as
// "program.add". A word is a text, or a map of texts by the plural forms of
// CLDR (one, two, few, many, other). {name} in a text stands for a parameter.
type catalog map[string]any

// languages are the catalogs of all files in a folder, each with every key of the
// English one: what a language leaves out stands there in English.
type languages struct {
	names    []string // as the files are called, English first
	match    language.Matcher
	catalogs map[string]catalog
}

// readLanguages reads the files of a folder: en.json and whatever stands beside it.
func readLanguages(folder fs.FS) (*languages, error) {
	base, err := readCatalog(folder, english+".json")
	if err != nil {
		return nil, err
	}
	l := &languages{names: []string{english}, catalogs: map[string]catalog{english: base}}
	files, err := fs.Glob(folder, "*.json")
	if err != nil {
		return nil, err
	}
	for _, file := range files {
		name := strings.TrimSuffix(file, ".json")
		if name == english {
			continue
		}
		own, err := readCatalog(folder, file)
		if err != nil {
			return nil, err
		}
		for key, word := range own {
			if err := sameParameters(base[key], word); err != nil {
				return nil, fmt.Errorf("%s: %s: %w", file, key, err)
			}
		}
		whole := maps.Clone(base)
		maps.Copy(whole, own)
		l.names, l.catalogs[name] = append(l.names, name), whole
	}
	tags := make([]language.Tag, len(l.names))
	for i, name := range l.names {
		if tags[i], err = language.Parse(name); err != nil {
			return nil, fmt.Errorf("%s.json: its name is no language: %w", name, err)
		}
	}
	l.match = language.NewMatcher(tags)
	return l, nil
}

func readCatalog(folder fs.FS, file string) (catalog, error) {
	data, err := fs.ReadFile(folder, file)
	if err != nil {
		return nil, err
	}
	var tree map[string]any
	if err := json.Unmarshal(data, &tree); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	c := catalog{}
	return c, c.add(file, "", tree)
}

// add flattens a tree of words into keys with dots.
func (c catalog) add(file, key string, node any) error {
	switch node := node.(type) {
	case string:
		c[key] = node
		return nil
	case map[string]any:
		if plural(node) {
			c[key] = node
			return nil
		}
		for name, child := range node {
			if err := c.add(file, strings.TrimPrefix(key+"."+name, "."), child); err != nil {
				return err
			}
		}
		return nil
	default:
		return fmt.Errorf("%s: %s is neither a text nor a group of texts", file, key)
	}
}

// plural reports whether a group is one text by the plural forms of CLDR.
func plural(group map[string]any) bool {
	for form := range group {
		if !slices.Contains([]string{"zero", "one", "two", "few", "many", "other"}, form) {
			return false
		}
	}
	_, ok := group["other"].(string)
	return ok
}

var parameter = regexp.MustCompile(`\{\w+\}`)

// sameParameters refuses a word that English does not have, or that has other
// parameters.
func sameParameters(base, word any) error {
	names := func(word any) []string {
		var found []string
		switch word := word.(type) {
		case string:
			found = parameter.FindAllString(word, -1)
		case map[string]any:
			found = parameter.FindAllString(fmt.Sprint(word["other"]), -1)
		}
		slices.Sort(found)
		return slices.Compact(found)
	}
	if base == nil {
		return fmt.Errorf("%s.json has no such key", english)
	}
	if want, have := names(base), names(word); !slices.Equal(want, have) {
		return fmt.Errorf("its parameters are %v; %s.json has %v", have, english, want)
	}
	return nil
}

// choose returns the name of the language for a request: the one that ?lang= names,
// or what the browser prefers.
func (l *languages) choose(r *http.Request) string {
	_, at := language.MatchStrings(l.match, r.URL.Query().Get("lang"), r.Header.Get("Accept-Language"))
	return l.names[at]
}

// text returns a word as markup for a page, with its parameters filled in: names
// and values in turn. A value is text too, unless it is markup already.
func (c catalog) text(key string, parameters ...any) (template.HTML, error) {
	word, ok := c[key].(string)
	if !ok {
		return "", fmt.Errorf("the words have no text %q", key)
	}
	pairs := make([]string, 0, len(parameters))
	for i := 0; i+1 < len(parameters); i += 2 {
		value, ok := parameters[i+1].(template.HTML)
		if !ok {
			value = template.HTML(template.HTMLEscaper(parameters[i+1])) //nolint:gosec // escaped
		}
		pairs = append(pairs, fmt.Sprintf("{%s}", parameters[i]), string(value))
	}
	return template.HTML(strings.NewReplacer(pairs...).Replace(template.HTMLEscapeString(word))), nil //nolint:gosec // escaped
}

// markup are the functions that page templates have beside those of the language.
func (c catalog) markup() template.FuncMap {
	inside := func(tag string) func(string) template.HTML {
		return func(text string) template.HTML {
			return template.HTML("<" + tag + ">" + template.HTMLEscapeString(text) + "</" + tag + ">") //nolint:gosec // escaped
		}
	}
	return template.FuncMap{
		"t": c.text, "code": inside("code"), "kbd": inside("kbd"), "split": strings.Fields,
		"link": func(href, key string) (template.HTML, error) {
			text, err := c.text(key)
			return template.HTML(`<a href="`+template.HTMLEscapeString(href)+`">`) + text + "</a>", err //nolint:gosec // escaped
		},
	}
}

// mentioned finds the keys in a module. They are literals that begin with the name
// of a section: all of a key, or its beginning up to a parameter, which stands for
// every key that goes on from there.
var mentioned = regexp.MustCompile("[\"`]((\\w+)\\.[\\w.-]*)(\\$\\{)?[\"`]?")

// used adds the words that a module names to those of its page.
func (c catalog) used(module string, source []byte, words catalog) error {
	sections := map[string]bool{}
	for key := range c {
		section, _, _ := strings.Cut(key, ".")
		sections[section] = true
	}
	for _, m := range mentioned.FindAllSubmatch(source, -1) {
		if !sections[string(m[2])] {
			continue
		}
		key, begins := string(m[1]), m[3] != nil
		found := false
		if word, ok := c[key]; ok && !begins {
			words[key], found = word, true
		}
		for k, word := range c {
			if begins && strings.HasPrefix(k, key) {
				words[k], found = word, true
			}
		}
		if !found {
			return fmt.Errorf("%s names the word %q, which %s.json does not have", module, key, english)
		}
	}
	return nil
}
