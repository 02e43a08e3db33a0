package rules

import "slices"

// Value is one row of a scale of values: an element's base value and the
// points of each GOE mark.
type Value struct {
	Code         string
	Scope        string // condition under which the row holds, such as a compulsory dance; usually empty
	Kind         string // of a named element whose code does not say it: one of ElementKinds; else empty
	Base         Points
	BaseInferred bool
	Source       string
	Confidence   Confidence // of its numbers, as a whole
	File         string     // where the row is stated
	Line         int
	Derived      bool     // made by a sign rule from the row without the sign, not stated in the table
	Rule         string   // key of the stated row among the season's rules: values.<discipline>.<code>
	Warn         *Warning // set when the base value was inferred
	GradeWarn    *Warning // set when points of a grade were inferred
	SignWarn     *Warning // set when the sign rule it rests on is not fully sure

	goe      [Marks]Points
	known    uint16 // bit per mark: the points are stated or follow from the season's percentage
	inferred uint16 // bit per mark: the points were inferred
	min      int
}

// Marks is how many marks the widest scale of GOE has: -5 to 5.
const Marks = 11

// NewValue returns an empty row of a season whose lowest mark is given.
func NewValue(lowest int) *Value { return &Value{min: lowest} }

// Lowest returns the lowest mark of the row's scale.
func (v *Value) Lowest() int { return v.min }

// SetLowest sets the lowest mark of a row that has no points yet.
func (v *Value) SetLowest(mark int) { v.min = mark }

// GOE returns the points of a mark: whether the table knows them, and whether
// they were inferred. Mark 0 is always 0.00.
func (v *Value) GOE(mark int) (points Points, known, inferred bool) {
	if mark == 0 {
		return 0, true, false
	}
	i := mark - v.min
	if i < 0 || i >= len(v.goe) {
		return 0, false, false
	}
	bit := uint16(1) << i
	return v.goe[i], v.known&bit != 0, v.inferred&bit != 0
}

// SetGOE states the points of a mark.
func (v *Value) SetGOE(mark int, p Points, inferred bool) {
	i := mark - v.min
	v.goe[i] = p
	v.known |= 1 << i
	if inferred {
		v.inferred |= 1 << i
	}
}

// ValueTable is a season's scale of values for one discipline.
type ValueTable struct {
	Discipline Discipline
	Source     string
	Confidence Confidence // of what rows do not say themselves
	File       string     // that states it; of a table taken over, the one taken over
	// Percent is what a grade is worth in percent of the base value or, with
	// LevelOne, of that of the element's level 1; 0 = only the points that rows state.
	Percent  int64
	LevelOne bool
	rows     map[string][]*Value // by code; rows with a scope beside the one without
}

// NewValueTable returns an empty table.
func NewValueTable(d Discipline, source string) *ValueTable {
	return &ValueTable{Discipline: d, Source: source, rows: map[string][]*Value{}}
}

// Add enters a row. The table must not have one of its code and scope.
func (t *ValueTable) Add(v *Value) { t.rows[v.Code] = append(t.rows[v.Code], v) }

// Fill enters the rows of a table that has none.
func (t *ValueTable) Fill(rows []*Value) {
	t.rows = make(map[string][]*Value, len(rows))
	for _, v := range rows {
		t.Add(v)
	}
}

// Row returns the row of a code with exactly this scope, or nil.
func (t *ValueTable) Row(code, scope string) *Value {
	for _, v := range t.rows[code] {
		if v.Scope == scope {
			return v
		}
	}
	return nil
}

// Key is the key of the table as a whole among the season's rules.
func (t *ValueTable) Key() string { return "values." + string(t.Discipline) }

// eachRule lists the stated values of elements as rules, one a code.
func (t *ValueTable) eachRule(yield func(Rule) bool) bool {
	for _, code := range t.Codes() {
		var rule *Rule
		for _, v := range t.rows[code] {
			switch {
			case v.Derived:
			case rule == nil:
				rule = &Rule{Key: v.Rule, Value: v.Base.String(), File: v.File, Line: v.Line, Cite: Cite{Source: v.Source, Confidence: v.Confidence}}
			default:
				rule.Value += ", " + v.Base.String()
				if v.Confidence.Doubt() > rule.Confidence.Doubt() {
					rule.Confidence = v.Confidence
				}
			}
			if rule != nil && v.Scope != "" {
				rule.Value += " (" + v.Scope + ")"
			}
		}
		if rule != nil && !yield(*rule) {
			return false
		}
	}
	return true
}

// Find returns the row of a code that holds under a scope: of the scopes asked
// for the first that has a row, else the row without scope. The second result
// lists the scopes when only scoped rows exist.
func (t *ValueTable) Find(code string, scopes ...string) (*Value, []string) {
	rows := t.rows[code]
	if len(rows) == 1 && rows[0].Scope == "" {
		return rows[0], nil
	}
	for _, scope := range scopes {
		if scope == "" {
			continue
		}
		for _, r := range rows {
			if r.Scope == scope {
				return r, nil
			}
		}
	}
	var known []string
	for _, r := range rows {
		if r.Scope == "" {
			return r, nil
		}
		known = append(known, r.Scope)
	}
	return nil, known
}

// Codes lists the codes of the table in order.
func (t *ValueTable) Codes() []string { return SortedKeys(t.rows) }

// Scopes lists the scopes of the table's rows in order; no table has none.
func (t *ValueTable) Scopes() []string {
	if t == nil {
		return nil
	}
	scopes := map[string]bool{}
	for _, rows := range t.rows {
		for _, r := range rows {
			if r.Scope != "" {
				scopes[r.Scope] = true
			}
		}
	}
	return SortedKeys(scopes)
}

// Rows returns all rows of a code, one per scope.
func (t *ValueTable) Rows(code string) []*Value { return slices.Clone(t.rows[code]) }
