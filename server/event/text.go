package event

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/spreadsheet"
)

// How much fits into an event.
const (
	maxText       = 200 // characters of a name, club, place or remark
	maxReason     = 500 // characters of a reason
	maxEntries    = 1000
	maxCategories = 100
	maxJudges     = 20
	maxMembers    = 40
	maxTokens     = 500
	maxDeductions = 30
	minEventID    = 3
	maxEventID    = 60
)

var (
	eventID    = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)
	categoryID = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	entryID    = regexp.MustCompile(`^[A-Za-z0-9]+(-[A-Za-z0-9]+)*$`)
)

// printed is the text of an entry, which also goes into CSV files. Where lists are
// parted by semicolons, a spreadsheet begins a cell behind each of them, whatever
// parts the cells of the file, and takes quotation marks off its front.
func printed(faults *rules.FieldErrors, field, value string) string {
	value = ask.Text(faults, field, value, maxText)
	for i, cell := range strings.FieldsFunc(value, func(r rune) bool { return r == ';' || r == '；' }) {
		sign, formula := spreadsheet.Begins(cell)
		switch {
		case !formula:
			continue
		case i == 0 && strings.HasPrefix(value, cell):
			faults.Add(field, rules.ReasonFieldInvalid, "begins with %q, which spreadsheets take for a formula", sign)
		default:
			faults.Add(field, rules.ReasonFieldInvalid, "has %q behind a semicolon, which spreadsheets can take for a formula", sign)
		}
		return value
	}
	return value
}

// printedName is the name of an entry, which may not be empty.
func printedName(faults *rules.FieldErrors, field, value string) string {
	before := len(*faults)
	value = printed(faults, field, value)
	if value == "" && len(*faults) == before {
		faults.Add(field, rules.ReasonFieldRequired, "is empty")
	}
	return value
}

// needed is text that may not be empty.
func needed(faults *rules.FieldErrors, field, value string, most int) string {
	before := len(*faults)
	value = ask.Text(faults, field, value, most)
	if value == "" && len(*faults) == before {
		faults.Add(field, rules.ReasonFieldRequired, "is empty")
	}
	return value
}

func identifier(faults *rules.FieldErrors, field, value string, form *regexp.Regexp, least, most int, allowed string) {
	if len(value) < least || len(value) > most || !form.MatchString(value) {
		faults.Add(field, rules.ReasonFieldInvalid, "is %s; allowed are %s", rules.Quote(value), rules.Allow("%d to %d %s", least, most, allowed))
	}
}

// dates checks the days of an event; an empty last day is the first.
func dates(faults *rules.FieldErrors, start, end string) (string, string) {
	day := func(field, value string) bool {
		if _, err := time.Parse(time.DateOnly, value); err != nil {
			faults.Add(field, rules.ReasonFieldInvalid, "is %s; give a day such as 2026-03-14", rules.Quote(value))
			return false
		}
		return true
	}
	if start == "" {
		faults.Add("startDate", rules.ReasonFieldRequired, "is empty: give a day such as 2026-03-14")
		return "", ""
	}
	if end == "" {
		end = start
	}
	if day("startDate", start) && day("endDate", end) && end < start {
		faults.Add("endDate", rules.ReasonFieldInvalid, "is %s, before the first day %s", end, start)
	}
	return start, end
}

// judgeNumbers checks a list of judges: each on the panel and once.
func judgeNumbers(faults *rules.FieldErrors, field string, judges []int32, panel int32) {
	seen := map[int32]bool{}
	for i, judge := range judges {
		at := fmt.Sprintf("%s[%d]", field, i)
		switch {
		case judge < 1 || judge > panel:
			faults.Add(at, rules.ReasonJudgeUnknown, "there is no judge %d; the panel has judges 1 to %d", judge, panel)
		case seen[judge]:
			faults.Add(at, rules.ReasonJudgeUnknown, "judge %d is named twice", judge)
		}
		seen[judge] = true
	}
}

// list joins words for a message.
func list(words []string) string { return strings.Join(words, ", ") }

// replacePrefix returns a path with another beginning, where it has the old one.
func replacePrefix(path, old, now string) string {
	if rest, ok := strings.CutPrefix(path, old); ok {
		return now + rest
	}
	return path
}
