package ask

import (
	"regexp"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/rinktally/rinktally/rules"
)

// Text takes a text of people: without spaces around it, on one line, of at most so many
// characters. A fault does not repeat it, since it may name somebody.
func Text(faults *rules.FieldErrors, field, value string, most int) string {
	value = strings.TrimSpace(value)
	if n := utf8.RuneCountInString(value); n > most {
		faults.Add(field, rules.ReasonFieldInvalid, "has %d characters; at most %d are taken", n, most)
		return ""
	}
	if !utf8.ValidString(value) || strings.ContainsFunc(value, func(r rune) bool { return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) }) {
		faults.Add(field, rules.ReasonFieldInvalid, "has a line break or another control character; give one line of text")
		return ""
	}
	return value
}

// requestIDs is compiled when it is first used: the engine in a page never does.
var requestIDs = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[!-~]{1,64}$`) })

// CheckRequestID says what is wrong with a caller's request id: rules.FieldError,
// or nil when it can be kept.
func CheckRequestID(id string) error {
	if requestIDs().MatchString(id) {
		return nil
	}
	return rules.Fault("requestId", rules.ReasonFieldInvalid, "is %s; allowed are %s", rules.Quote(id), rules.Allowed("up to 64 visible ASCII characters"))
}
