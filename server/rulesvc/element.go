package rulesvc

import (
	"cmp"
	"context"
	"slices"
	"strings"

	pb "github.com/rinktally/rinktally/proto/rinktally/v1"
	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/element"
	"github.com/rinktally/rinktally/rules/value"
	"github.com/rinktally/rinktally/server/answer"
	"github.com/rinktally/rinktally/server/ask"
	"github.com/rinktally/rinktally/server/errs"
)

// reasonElementNotFound equals the ErrorReason name of the public contract.
const reasonElementNotFound rules.Reason = "ELEMENT_NOT_FOUND"

// ListElements lists the elements of a season without signs, in the order of
// their codes.
func (s *Service) ListElements(_ context.Context, req *pb.ListElementsRequest) (*pb.ListElementsResponse, error) {
	season, warning, err := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err != nil {
		return nil, errs.From(err, req)
	}
	entries, faults := selected(season, req.GetDiscipline(), req.GetKind())
	size := ask.PageSize(req.GetPageSize(), &faults)
	list := ask.ListOf(season.Revision, req.GetDiscipline(), req.GetKind())
	from, ok := list.Start(req.GetPageToken())
	if !ok {
		faults.Add("pageToken", ask.ReasonPageToken, "is not a token of this list; take nextPageToken of the answer before and leave every other argument as it was there")
	}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	res := &pb.ListElementsResponse{Rules: answer.RulesInfo(season), Warnings: answer.Warnings(warning, nil)}
	from = min(from, len(entries))
	to := min(from+size, len(entries))
	for _, e := range entries[from:to] {
		res.Elements = append(res.Elements, fromEntry(season, e))
	}
	if to < len(entries) {
		res.NextPageToken = list.Token(to)
	}
	return res, nil
}

// GetElement shows one element, with or without signs.
func (s *Service) GetElement(_ context.Context, req *pb.GetElementRequest) (*pb.GetElementResponse, error) {
	season, warning, err := s.tables.Season(req.GetSeason(), req.GetRevision())
	if err != nil {
		return nil, errs.From(err, req)
	}
	var faults rules.FieldErrors
	disciplines := rules.Disciplines
	if key := req.GetCategory(); key != "" {
		category, unknown := season.Category(key)
		if faults = unknown; len(unknown) == 0 {
			disciplines = []rules.Discipline{category.Discipline}
		}
	}
	code, parseErr := element.Parse(req.GetCode())
	switch {
	case req.GetCode() == "":
		faults.Add("code", rules.ReasonFieldRequired, "is empty: give the code of one element, such as 3Lz")
	case parseErr != nil:
		faults.Add("code", rules.ReasonCodeInvalid, "%v", parseErr)
	case code.NoValue() || len(code.Parts()) == 1 && code.String() != code.Parts()[0].Text:
		faults.Add("code", rules.ReasonCodeInvalid, "%s is an element as called in a program; give one element without *, +SEQ, +COMBO or +REP", rules.Quote(req.GetCode()))
	}
	if err := faults.Err(); err != nil {
		return nil, errs.From(err, req)
	}
	for _, discipline := range disciplines {
		table := season.Table(discipline)
		if table == nil {
			continue
		}
		row, scopes := table.Find(code.String(), req.GetScope())
		switch {
		case len(scopes) > 0:
			faults.Add("scope", rules.ReasonScopeRequired, "%s has a value of its own in each of: %s; name one of them", code.String(), rules.AllowList(scopes))
			return nil, errs.From(faults, req)
		case row == nil:
			continue
		}
		var warnings rules.Warnings
		for _, w := range []*rules.Warning{row.Warn, row.GradeWarn, row.SignWarn} {
			if w != nil {
				warnings.Add(w, "")
			}
		}
		return &pb.GetElementResponse{
			Element: fromEntry(season, entry{discipline: discipline, row: row, element: code, reduced: reducedOf(table, row)}),
			Rules:   answer.RulesInfo(season), Warnings: answer.Warnings(warning, warnings),
		}, nil
	}
	if len(code.Parts()) > 1 {
		faults.Add("code", rules.ReasonCodeInvalid, "%s is several jumps or parts; ask for one of them, or for the value of all of them with elements:value", rules.Quote(code.String()))
	} else {
		faults.Add("code", reasonElementNotFound, "season %s has no element %s", season.Params.Season, rules.Quote(code.String()))
	}
	return nil, errs.From(faults, req)
}

// wanted returns the disciplines that a list is about: all, or the one named.
func wanted(season *rules.Season, name string, faults *rules.FieldErrors) []rules.Discipline {
	d := rules.Discipline(name)
	switch {
	case name == "":
		return rules.Disciplines
	case !slices.Contains(rules.Disciplines, d):
		faults.Add("discipline", rules.ReasonFieldInvalid, "is %s; allowed are: %s", rules.Quote(name), rules.AllowList(rules.Disciplines))
	case season.Table(d) == nil:
		faults.Add("discipline", rules.ReasonRulesNotAvailable, "season %s has no values for %s", season.Params.Season, name)
	}
	return []rules.Discipline{d}
}

// selected returns the elements of a discipline and a kind, or of all where none is
// named.
func selected(season *rules.Season, discipline, kind string) ([]entry, rules.FieldErrors) {
	var faults rules.FieldErrors
	disciplines := wanted(season, discipline, &faults)
	only, known := element.KindOf(kind)
	if kind != "" && !known {
		faults.Add("kind", rules.ReasonFieldInvalid, "is %s; allowed are: %s", rules.Quote(kind), rules.AllowList(element.KindNames()))
	}
	if len(faults) > 0 {
		return nil, faults
	}
	entries := entriesOf(season, disciplines)
	if kind != "" {
		entries = slices.DeleteFunc(entries, func(e entry) bool { return e.kind() != only })
	}
	return entries, nil
}

// entry is an element of the list: a row without signs and its signed forms.
type entry struct {
	discipline rules.Discipline
	row        *rules.Value
	element    element.Element
	reduced    []*rules.Value
}

func (e *entry) kind() element.Kind { return value.KindOf(e.element.Kind(), e.row) }

// entriesOf returns the rows without signs, in the order of their codes.
func entriesOf(season *rules.Season, disciplines []rules.Discipline) []entry {
	var entries []entry
	for _, discipline := range disciplines {
		table := season.Table(discipline)
		if table == nil {
			continue
		}
		signed := map[string][]*rules.Value{}
		first := len(entries)
		for _, code := range table.Codes() {
			e, err := element.Parse(code)
			if err != nil {
				continue // the table's own check reports codes that cannot be read
			}
			if p := e.Parts()[0]; len(e.Parts()) == 1 && p.Signs() != "" {
				signed[p.Bare()] = append(signed[p.Bare()], table.Rows(code)...)
				continue
			}
			for _, row := range table.Rows(code) {
				entries = append(entries, entry{discipline: discipline, row: row, element: e})
			}
		}
		for i := first; i < len(entries); i++ {
			entries[i].reduced = reducing(signed[entries[i].row.Code], entries[i].row)
		}
	}
	slices.SortStableFunc(entries, func(a, b entry) int { return cmp.Compare(a.row.Code, b.row.Code) })
	return entries
}

// reducedOf returns the signed forms of one row; a signed row has none.
func reducedOf(table *rules.ValueTable, row *rules.Value) []*rules.Value {
	var rows []*rules.Value
	for _, code := range table.Codes() {
		if !strings.HasPrefix(code, row.Code) || code == row.Code {
			continue
		}
		if e, err := element.Parse(code); err == nil && len(e.Parts()) == 1 && e.Parts()[0].Bare() == row.Code {
			rows = append(rows, table.Rows(code)...)
		}
	}
	return reducing(rows, row)
}

// reducing keeps the forms of one row whose value is lower.
func reducing(rows []*rules.Value, row *rules.Value) []*rules.Value {
	return slices.DeleteFunc(slices.Clone(rows), func(r *rules.Value) bool { return r.Scope != row.Scope || r.Base >= row.Base })
}
