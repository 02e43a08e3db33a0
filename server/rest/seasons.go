package rest

import (
	"cmp"
	"maps"
	"net/http"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/server/tables"
)

// maxShown is how many pages are kept that show tables: those of all seasons, in a
// few languages.
const maxShown = 64

// shows returns what a page shows of the tables, where its address names a season;
// ok is false where there is none. The version is another one whenever what is shown
// is.
type shows func(t *tables.Tables, season string) (version string, show func() any, ok bool)

// changing serves a page that shows tables.
func (s *site) changing(p page) http.Handler {
	return confined(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		version, show, ok := p.shows(s.tables, r.PathValue("season"))
		if !ok {
			s.nothing(w, r)
			return
		}
		lang := s.languages.choose(r)
		made, err := s.shown.Get(strings.Join([]string{p.at, lang, version}, " "), func() (asset, error) {
			filled := p
			filled.data = show()
			return s.made(filled, lang)
		})
		if err != nil {
			panic(err) // the same in each test
		}
		w.Header().Add("Vary", "Accept-Language")
		made.ServeHTTP(w, r)
	}))
}

// seasonList is what the list of all seasons shows.
type seasonList struct {
	Seasons []seasonRow // newest first
	Current string
	Ended   bool // no table is valid today; Current is the newest
}

// seasonRow is a season in the list of all.
type seasonRow struct {
	rules.Heading
	Before      string // the season before it; "" = none
	Current     bool
	Disciplines []disciplineRow
	Sheets      int // published score sheets that its tables reproduce
	Values      int // numbers and limits that its tables state
	Unsure      []unsureRow
}

// disciplineRow is what a season has of a discipline.
type disciplineRow struct {
	Discipline rules.Discipline
	Categories []string // their titles
}

// unsureRow says how many values are known so surely.
type unsureRow struct {
	Confidence rules.Confidence
	Values     int
}

// Word is the key of its word.
func (d disciplineRow) Word() string { return "parts.disciplines." + string(d.Discipline) }

// Word is the key of its word.
func (u unsureRow) Word() string { return "seasons.sure." + string(u.Confidence) }

// Percent is how much of the season's values is sure, rounded down: 100 means all.
func (r seasonRow) Percent() int {
	sure := r.Values
	for _, u := range r.Unsure {
		sure -= u.Values
	}
	return 100 * sure / max(r.Values, 1)
}

// allSeasons shows all seasons.
func allSeasons(t *tables.Tables, _ string) (string, func() any, bool) {
	today, warning := t.Today()
	version := []string{today.Season}
	if warning != nil {
		version = append(version, "ended")
	}
	catalog := t.Catalog()
	for _, h := range catalog.Headings() {
		version = append(version, h.Revision)
	}
	return strings.Join(version, " "), func() any {
		list := seasonList{Current: today.Season, Ended: warning != nil}
		before := ""
		for _, season := range catalog.Seasons() {
			row := rowOf(season)
			row.Before, row.Current = before, season.Params.Season == today.Season
			before = season.Params.Season
			list.Seasons = append(list.Seasons, row)
		}
		slices.Reverse(list.Seasons)
		return list
	}, true
}

func rowOf(season *rules.Season) seasonRow {
	row := seasonRow{Heading: season.Heading()}
	for _, d := range season.Heading().Disciplines {
		row.Disciplines = append(row.Disciplines, disciplineRow{d, titlesOf(season, d)})
	}
	for _, segments := range season.Sheets {
		for _, n := range segments {
			row.Sheets += n
		}
	}
	unsure := map[rules.Confidence]int{}
	for r := range season.EachRule() {
		if r.Value == "" {
			continue
		}
		row.Values++
		if r.Confidence.Doubt() > 0 {
			unsure[r.Confidence]++
		}
	}
	for _, c := range slices.SortedFunc(maps.Keys(unsure), func(a, b rules.Confidence) int { return a.Doubt() - b.Doubt() }) {
		row.Unsure = append(row.Unsure, unsureRow{c, unsure[c]})
	}
	return row
}

// levels are the levels of categories in the order in which they are shown; a
// club's own come last.
var levels = []string{"senior", "junior", "advanced-novice", "intermediate-novice", "basic-novice"}

// titlesOf are the titles of the categories of a discipline.
func titlesOf(season *rules.Season, d rules.Discipline) []string {
	var found []*rules.Category
	for _, key := range rules.SortedKeys(season.Categories) {
		if c := season.Categories[key]; c.Discipline == d {
			found = append(found, c)
		}
	}
	rank := func(c *rules.Category) int { return cmp.Or(slices.Index(levels, c.Level)+1, len(levels)+1) }
	slices.SortStableFunc(found, func(a, b *rules.Category) int { return rank(a) - rank(b) })
	titles := make([]string, len(found))
	for i, c := range found {
		titles[i] = c.Title
	}
	return titles
}

// seasonHead is what the page of a season shows before its rules are fetched.
type seasonHead struct {
	rules.Heading
	Before string // the season before it; "" = none
}

// oneSeason shows the season of the address.
func oneSeason(t *tables.Tables, key string) (string, func() any, bool) {
	season, _, faults := t.Season(key, "")
	if len(faults) > 0 {
		return "", nil, false
	}
	head := seasonHead{Heading: season.Heading()}
	for _, h := range t.Catalog().Headings() {
		if h.Season == head.Season {
			break
		}
		head.Before = h.Season
	}
	return strings.Join([]string{season.Revision, head.Season, head.Before}, " "), func() any { return head }, true
}

// seasonNames shows the names of all seasons, newest first.
func seasonNames(t *tables.Tables, _ string) (string, func() any, bool) {
	var names []string
	for _, h := range t.Catalog().Headings() {
		names = append(names, h.Season)
	}
	slices.Reverse(names)
	return strings.Join(names, " "), func() any { return names }, true
}
