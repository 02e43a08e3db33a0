package main

// reasonsOf are the reasons for which a call may be refused because of a field of its
// request, by the field's JSON name. What any call may be refused for is in base.yaml.
var reasonsOf = map[string][]string{
	"season":        {"SEASON_UNKNOWN", "RULES_NOT_AVAILABLE"},
	"compareSeason": {"SEASON_UNKNOWN", "CATEGORY_UNKNOWN", "SEGMENT_UNKNOWN", "RULES_NOT_AVAILABLE"},
	"from":          {"SEASON_UNKNOWN"},
	"to":            {"SEASON_UNKNOWN"},
	"revision":      {"REVISION_MISMATCH"},
	"category":      {"CATEGORY_UNKNOWN"},
	"rulesCategory": {"CATEGORY_UNKNOWN"},
	"segment":       {"SEGMENT_UNKNOWN"},
	"segments":      {"SEGMENT_UNKNOWN"},
	"code":          {"CODE_INVALID", "ELEMENT_UNKNOWN", "SIGN_UNKNOWN", "SCOPE_REQUIRED"},
	"codes":         {"CODE_INVALID", "ELEMENT_UNKNOWN", "SIGN_UNKNOWN"},
	"text":          {"CODE_INVALID", "ELEMENT_UNKNOWN", "SIGN_UNKNOWN", "SCOPE_REQUIRED"},
	"marks":         {"MARK_OUT_OF_RANGE", "MARK_OFF_GRID", "PANEL_SIZE_MISMATCH", "GOE_VALUE_UNKNOWN", "COMPONENT_UNKNOWN", "COMPONENT_DUPLICATE"},
	"grade":         {"MARK_OUT_OF_RANGE", "GOE_VALUE_UNKNOWN"},
	"components":    {"COMPONENT_MISSING", "COMPONENT_UNKNOWN", "COMPONENT_DUPLICATE", "MARK_OUT_OF_RANGE", "MARK_OFF_GRID"},
	"judge":         {"JUDGE_UNKNOWN"},
	"judges":        {"JUDGE_UNKNOWN", "PANEL_SIZE_MISMATCH"},
	"countedJudges": {"JUDGE_UNKNOWN", "PANEL_SIZE_MISMATCH"},
	"absentJudges":  {"JUDGE_UNKNOWN", "PANEL_SIZE_MISMATCH"},
	"deductions":    {"DEDUCTION_UNKNOWN", "DEDUCTION_VALUE"},
	"scope":         {"SCOPE_REQUIRED"},
	"position":      {"POSITION_INVALID"},
	"variation":     {"VARIATION_INVALID"},
	"revolutions":   {"REVOLUTIONS_INVALID"},
	"csv":           {"CSV_INVALID"},
	"pageToken":     {"PAGE_TOKEN_INVALID"},
	"event":         {"EVENT_UNKNOWN", "EVENT_COPIED", "NOT_IN_EVENT", "EVENT_DAMAGED", "STORE_UNAVAILABLE", "UNAUTHENTICATED", "PERMISSION_DENIED"},
	"book":          {"BOOK_UNKNOWN", "STORE_FULL", "STORE_UNAVAILABLE", "UNAUTHENTICATED", "PERMISSION_DENIED"},
	"skater":        {"NOT_IN_BOOK"},
	"planned":       {"CODE_INVALID"},
	"came":          {"CODE_INVALID"},
	"requestId":     {"REQUEST_ID_REUSED", "NOT_NOW", "INCOMPLETE", "STORE_FULL"}, // only what changes an event, or adds to a book, has one

	"expectedSequence": {"SEQUENCE_CONFLICT"},
	"elementMarks":     {"MARK_OUT_OF_RANGE", "GOE_VALUE_UNKNOWN"},
	"componentMarks":   {"MARK_OUT_OF_RANGE", "MARK_OFF_GRID"},
}

// moreReasons are those of calls that no field brings.
var moreReasons = map[string][]string{
	"AddAttempts":       {"MARK_OFF_GRID"},
	"AddSkater":         {"MARK_OFF_GRID"},
	"CreateBook":        {"STORE_FULL", "STORE_UNAVAILABLE", "UNAUTHENTICATED", "PERMISSION_DENIED"},
	"CreateEvent":       {"EVENT_EXISTS"},
	"GetCopy":           {"EVENT_EXISTS"},
	"GetElement":        {"ELEMENT_NOT_FOUND"},
	"ImportAttempts":    {"CODE_INVALID", "MARK_OUT_OF_RANGE", "MARK_OFF_GRID"},
	"PlanProgram":       {"NO_LEGAL_PROGRAM"},
	"PreviewCorrection": {"NOT_NOW"},
	"RemoveCopy":        {"EVENT_EXISTS"},
	"UpdateAttempt":     {"MARK_OFF_GRID"},
	"UpdateCopy":        {"EVENT_EXISTS"},
	"UpdateSkater":      {"MARK_OFF_GRID"},
	"ListEvents":        {"STORE_UNAVAILABLE", "UNAUTHENTICATED"},
}

// reasons are those for which the call may be refused, in the order of the contract.
func (c *call) reasons(all *message) []string {
	found := map[string]bool{}
	for _, r := range moreReasons[c.name] {
		found[r] = true
	}
	seen := map[*message]bool{}
	var look func(m *message)
	look = func(m *message) {
		if seen[m] {
			return
		}
		seen[m] = true
		for _, f := range m.fields {
			for _, r := range reasonsOf[f.name] {
				found[r] = true
			}
			if f.of != nil {
				look(f.of)
			}
		}
	}
	look(c.request)
	if c.stream {
		found["WATCHER_TOO_SLOW"], found["ACCESS_CHANGED"] = true, true
	}
	var list []string
	for _, v := range all.values {
		if found[v.name] {
			list = append(list, v.name)
		}
	}
	return list
}
