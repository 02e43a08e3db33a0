package rules

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Reason says in one public word why an input or a rule refused something.
// The values equal the ErrorReason names of the public contract.
type Reason string

// The reasons of the calculation itself.
const (
	ReasonFieldRequired     Reason = "FIELD_REQUIRED"
	ReasonFieldInvalid      Reason = "FIELD_INVALID"
	ReasonTooManyItems      Reason = "TOO_MANY_ITEMS"
	ReasonSeasonUnknown     Reason = "SEASON_UNKNOWN"
	ReasonCategoryUnknown   Reason = "CATEGORY_UNKNOWN"
	ReasonSegmentUnknown    Reason = "SEGMENT_UNKNOWN"
	ReasonCodeInvalid       Reason = "CODE_INVALID"
	ReasonSignUnknown       Reason = "SIGN_UNKNOWN"
	ReasonElementUnknown    Reason = "ELEMENT_UNKNOWN"
	ReasonScopeRequired     Reason = "SCOPE_REQUIRED"
	ReasonGOEUnknown        Reason = "GOE_VALUE_UNKNOWN"
	ReasonMarkOutOfRange    Reason = "MARK_OUT_OF_RANGE"
	ReasonMarkOffGrid       Reason = "MARK_OFF_GRID"
	ReasonPanelSize         Reason = "PANEL_SIZE_MISMATCH"
	ReasonJudgeUnknown      Reason = "JUDGE_UNKNOWN"
	ReasonComponentMissing  Reason = "COMPONENT_MISSING"
	ReasonComponentUnknown  Reason = "COMPONENT_UNKNOWN"
	ReasonComponentTwice    Reason = "COMPONENT_DUPLICATE"
	ReasonDeductionUnknown  Reason = "DEDUCTION_UNKNOWN"
	ReasonDeductionValue    Reason = "DEDUCTION_VALUE"
	ReasonPositionInvalid   Reason = "POSITION_INVALID"
	ReasonVariationInvalid  Reason = "VARIATION_INVALID"
	ReasonRevolutionsWrong  Reason = "REVOLUTIONS_INVALID"
	ReasonRulesNotAvailable Reason = "RULES_NOT_AVAILABLE"
	ReasonNoLegalProgram    Reason = "NO_LEGAL_PROGRAM"
)

// FieldError is one fault of a request: where, which kind, and in words for
// the person who must mend it (what was found and what is allowed).
type FieldError struct {
	Field   string // path in the request, such as elements[3].marks[2]
	Reason  Reason
	Message string
	Allowed string // what may stand there, as the message says it too; "" = no short list or range
}

// Allowed is what may stand at a place. Among the arguments of a fault's message
// it becomes the fault's Allowed.
type Allowed string

// Allowed returns the text.
func (a Allowed) Allowed() string { return string(a) }

// Allow puts what is allowed in words, such as "-5 to +5".
func Allow(format string, args ...any) Allowed { return Allowed(fmt.Sprintf(format, args...)) }

// AllowList joins the words that are allowed.
func AllowList[T ~string](words []T) Allowed {
	list := make([]string, len(words))
	for i, w := range words {
		list[i] = string(w)
	}
	return Allowed(strings.Join(list, ", "))
}

// Fault makes a fault. What is allowed is taken from the argument that says it:
// an Allowed, or an error that knows.
func Fault(field string, reason Reason, format string, args ...any) FieldError {
	f := FieldError{Field: field, Reason: reason, Message: fmt.Sprintf(format, args...)}
	for _, arg := range args {
		if knows, ok := arg.(interface{ Allowed() string }); ok {
			f.Allowed = knows.Allowed()
		}
	}
	return f
}

// Error returns the fault as "path: message".
func (e FieldError) Error() string {
	if e.Field == "" {
		return e.Message
	}
	return e.Field + ": " + e.Message
}

// FieldErrors collects the faults of one request so that all are reported together.
type FieldErrors []FieldError

// maxFaults is how many faults are collected: nobody reads on, and a request that
// is wrong throughout must not fill the memory.
const maxFaults = 1000

// Add appends one fault, unless there are very many already.
func (e *FieldErrors) Add(field string, reason Reason, format string, args ...any) {
	if len(*e) < maxFaults {
		*e = append(*e, Fault(field, reason, format, args...))
	}
}

// Error lists all faults, one a line.
func (e FieldErrors) Error() string {
	lines := make([]string, len(e))
	for i, f := range e {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Err is nil when nothing was collected.
func (e FieldErrors) Err() error {
	if len(e) == 0 {
		return nil
	}
	return e
}

// Warning says that an answer rests on something that is not fully sure.
type Warning struct {
	Code       WarningCode
	Message    string
	Rule       string     // key of the rule or table row that it comes from
	Confidence Confidence // how surely that is known; "" when the warning is not about that
	// Fields are the paths in the request that rest on it, in the request's order,
	// such as elements[3]; empty when the whole answer does.
	Fields []string
}

// WarningCode is the public word for a kind of warning.
type WarningCode string

// The kinds of warning.
const (
	WarnLowConfidence   WarningCode = "LOW_CONFIDENCE"    // a rule that is not read from a published text
	WarnInferredValue   WarningCode = "INFERRED_VALUE"    // a base value or GOE cell that was inferred
	WarnSeasonNotFound  WarningCode = "SEASON_NOT_LOADED" // "current" had to fall back to the newest table
	WarnPanelNotDrawn   WarningCode = "PANEL_NOT_DRAWN"   // the season drew a panel and the request names none
	WarnSecondHalfMarks WarningCode = "SECOND_HALF_FLAG"  // the flags are not in the order they can have happened
	WarnLevelAboveCap   WarningCode = "LEVEL_ABOVE_CAP"   // a code has a level that the category does not have
)

// Warnings collects warnings, each rule once.
type Warnings []Warning

// Add warns that a field of the request, or "" for the whole answer, rests on what
// a warning is about. A rule that has its warning already gets the field added to
// that one. The warning given is not kept, so that those of a table can be shared.
func (w *Warnings) Add(about *Warning, field string) {
	i := slices.IndexFunc(*w, func(have Warning) bool { return have.Code == about.Code && have.Rule == about.Rule })
	if i < 0 {
		added := *about
		if added.Fields = nil; field != "" {
			added.Fields = []string{field}
		}
		*w = append(*w, added)
		return
	}
	have := &(*w)[i]
	if len(have.Fields) == 0 || field == "" {
		have.Fields = nil // all of it
		return
	}
	if at, found := slices.BinarySearchFunc(have.Fields, field, compareFields); !found {
		have.Fields = slices.Insert(have.Fields, at, field)
	}
}

// compareFields orders the paths of one list: elements[9] is before elements[10].
func compareFields(a, b string) int { return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b)) }

// TableFault is one fault of a season table: file, line, and what is allowed.
type TableFault struct {
	File    string
	Line    int // 1-based; 0 when the whole file is meant
	Message string
}

// Error returns the fault as "file:line: message".
func (f TableFault) Error() string {
	if f.Line == 0 {
		return f.File + ": " + f.Message
	}
	return fmt.Sprintf("%s:%d: %s", f.File, f.Line, f.Message)
}

// TableFaults are all faults found while loading tables.
type TableFaults []TableFault

// Error lists all faults, one a line.
func (f TableFaults) Error() string {
	lines := make([]string, len(f))
	for i, fault := range f {
		lines[i] = fault.Error()
	}
	return strings.Join(lines, "\n")
}
