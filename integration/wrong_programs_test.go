package integration_test

// programChanges are what can be wrong with a program to check.
var programChanges = []fieldChange{
	{checkCall, "season", "2031-32", "SEASON_UNKNOWN", "", "loaded are: 2005-06"},
	{checkCall, "revision", `"sha256:0000"`, "REVISION_MISMATCH", "", "leave revision out"},
	{checkCall, "category", `"senior-woman"`, "CATEGORY_UNKNOWN", "", "it has: "},
	{checkCall, "category", "-", "FIELD_REQUIRED", "", "is empty"},
	{checkCall, "segment", `"long-program"`, "SEGMENT_UNKNOWN", "", "it has: free-skating"},
	{checkCall, "segment", "-", "FIELD_REQUIRED", "", "is empty"},
	{checkCall, "elements", "-", "FIELD_REQUIRED", "", "or text instead"},
	{checkCall, "elements", many(`{"code":"3T"}`, 41), "TOO_MANY_ITEMS", "", "40"},
	{checkCall, "elements[0].code", `"3Lz#"`, "CODE_INVALID", "", "the signs are"},
	{checkCall, "elements[0].code", `"5A"`, "ELEMENT_UNKNOWN", "", "it knows: 1A"},
	{checkCall, "elements[0].code", "-", "CODE_INVALID", "", "is empty"},
	{checkCall, "elements[0].grade", "6", "MARK_OUT_OF_RANGE", "", "-5"},
	{checkCall, "elements[0].grade", `"NaN"`, "MARK_OUT_OF_RANGE", "", "steps of 0.01"},
	{checkCall, "elements[0].grade", `"good"`, "FIELD_INVALID", "", "want a number"},
	{checkCall, "elements[0].marks", "[1]", "FIELD_UNKNOWN", "", "allowed are: code"},
	{checkCall, "components[0].component", `"TIMING"`, "COMPONENT_MISSING", "", "it has: "},
	{checkCall, "components[0].mark", "11", "MARK_OUT_OF_RANGE", "", "10.00"},
	{checkCall, "components[3]", `{"component":"COMPOSITION","mark":8}`, "COMPONENT_DUPLICATE", "components[3].component", "twice"},
	{checkCall, "durationSeconds", "-5", "FIELD_INVALID", "", "or more"},
	{checkCall, "durationSeconds", `"four minutes"`, "FIELD_INVALID", "", "want a whole number"},
	{checkCall, "compareSeason", `"1999-00"`, "SEASON_UNKNOWN", "", "loaded are"},
	{checkCall, "text", `"3Lz, 3F"`, "FIELD_INVALID", "", "only one of them"},
}
