package rules

import (
	"bytes"
	"errors"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// byteOrderMark begins the files that some programs write as UTF-8.
var byteOrderMark = []byte("\xef\xbb\xbf")

const saveAsUTF8 = "is not UTF-8 text; save the file as UTF-8"

// notUTF8 gives the first line that is not UTF-8 text, or 0.
func notUTF8(data []byte) int {
	if utf8.Valid(data) {
		return 0
	}
	number := 1
	for line := range bytes.Lines(data) {
		if !utf8.Valid(line) {
			break
		}
		number++
	}
	return number
}

var yamlLine = regexp.MustCompile(`^(?:yaml: )?line (\d+): (.*)$`)

// lineAndText splits an error of the YAML reader; the line is 0 when it names none.
func lineAndText(text string) (int, string) {
	if m := yamlLine.FindStringSubmatch(text); m != nil {
		line, _ := strconv.Atoi(m[1])
		return line, m[2]
	}
	return 0, strings.TrimPrefix(text, "yaml: ")
}

// decodeFaults gives one fault for each line that an error of decoding names.
func decodeFaults(file string, err error) (faults TableFaults) {
	texts := []string{err.Error()}
	var te *yaml.TypeError
	if errors.As(err, &te) {
		texts = te.Errors
	}
	for _, text := range texts {
		line, says := lineAndText(text)
		faults = append(faults, TableFault{File: file, Line: line, Message: says})
	}
	return faults
}

// grammar matches what the YAML reader says of tokens in an order that it does
// not expect. It counts the lines of these from 0, those of all others from 1.
var grammar = regexp.MustCompile(`^did not find expected (<document start>|key$|node content|',' or '|'-' indicator)`)

// syntaxFault puts an error of YAML's syntax at its line and into plain words.
func syntaxFault(file string, data []byte, err error) TableFault {
	line, text := lineAndText(err.Error())
	lines := bytes.Split(bytes.TrimRight(data, "\n"), []byte("\n"))
	if grammar.MatchString(text) {
		line++
	}
	line = min(max(line, 1), len(lines))
	switch {
	case strings.Contains(text, "tab character") || strings.Contains(text, "cannot start any token"):
		// The line is that of the value which the tab ends, or of the tab itself.
		if tab := tabbed(lines, line); tab == line || tab > 0 && strings.Contains(text, "tab character") {
			return TableFault{File: file, Line: tab, Message: "a tab stands in the indentation; want spaces only"}
		}
	case strings.HasSuffix(text, "expected key") || strings.HasSuffix(text, "'-' indicator"):
		// The reader names the line where the block begins; the first lines that
		// give the same error end with the line that does not fit into it.
		line = 1 + sort.Search(len(lines)-1, func(i int) bool {
			var doc yaml.Node
			err := yaml.Unmarshal(append(bytes.Join(lines[:i+1], []byte("\n")), '\n'), &doc)
			if err == nil {
				return false
			}
			_, says := lineAndText(err.Error())
			return says == text
		})
		text += "; does the line stand as deep as its neighbours?"
	case strings.HasPrefix(text, "did not find expected ',' or '"):
		text += " in the list or mapping that begins here; is its end missing?"
	}
	return TableFault{File: file, Line: line, Message: "is not YAML: " + text}
}

// tabbed gives the first line from a given one on whose indentation holds a tab,
// or 0.
func tabbed(lines [][]byte, from int) int {
	for i := from - 1; i < len(lines); i++ {
		indent := lines[i][:len(lines[i])-len(bytes.TrimLeft(lines[i], " \t"))]
		if bytes.ContainsRune(indent, '\t') {
			return i + 1
		}
	}
	return 0
}
