package bookstest

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/store"
	"github.com/rinktally/rinktally/server/store/books"
)

// A book says of itself what was said last; another one is not touched.
func testBook(t *testing.T, kind Kind) {
	s := open(t, kind.New(t))
	ctx := t.Context()
	makeBook(t, s, id)
	makeBook(t, s, "other")
	got, err := s.Book(ctx, id)
	if want := (books.Book{ID: id, Token: []byte("hash of " + id), Created: start, Body: []byte("title of " + id)}); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, %v", got, err)
	}
	check(t, s.SetBook(ctx, id, func(body []byte) ([]byte, error) { return append(body, '!'), nil }))
	no := errors.New("no")
	refused(t, "a change that is given up", s.SetBook(ctx, id, func([]byte) ([]byte, error) { return nil, no }), no)
	check(t, s.SetToken(ctx, id, []byte("new")))
	addSkater(t, s, id, "Mira")
	if got, err = s.Book(ctx, id); err != nil || string(got.Body) != "title of "+id+"!" || string(got.Token) != "new" || got.Skaters != 1 {
		t.Errorf("%+v, %v", got, err)
	}
	if got, err = s.Book(ctx, "other"); err != nil || string(got.Body) != "title of other" || string(got.Token) != "hash of other" || got.Skaters != 0 {
		t.Errorf("%+v, %v", got, err)
	}
	if list, err := s.Books(ctx); err != nil || len(list) != 2 || list[0].ID != id || list[0].Skaters != 1 || list[1].ID != "other" {
		t.Errorf("%+v, %v", list, err)
	}
	check(t, s.DeleteBook(ctx, id))
	for what, err := range map[string]error{
		"read": second(s.Book(ctx, id)), "set": s.SetBook(ctx, id, func(b []byte) ([]byte, error) { return b, nil }), "token": s.SetToken(ctx, id, nil),
		"delete": s.DeleteBook(ctx, id), "skater": second(s.AddSkater(ctx, id, books.Request{}, nil)), "delete a skater": s.DeleteSkater(ctx, books.Key{Book: id, Skater: 1}),
	} {
		refused(t, what, err, books.ErrBookUnknown)
	}
	if _, err := s.Book(ctx, "other"); err != nil {
		t.Error(err)
	}
}

func second[T any](_ T, err error) error { return err }

// Skaters have numbers of their own, which are not given again.
func testSkater(t *testing.T, kind Kind) {
	s, mira := begun(t, kind.New(t))
	ctx := t.Context()
	nel := books.Key{Book: id, Skater: addSkater(t, s, id, "Nel")}
	if mira.Skater != 1 || nel.Skater != 2 {
		t.Errorf("%v, %v", mira, nel)
	}
	add(t, s, mira, tried("a", 3))
	list, err := s.Skaters(ctx, id)
	want := []books.Skater{{ID: 1, Body: []byte("Mira"), Attempts: 3, Last: start.Add(2 * time.Minute), Revision: 1}, {ID: 2, Body: []byte("Nel")}}
	if err != nil || !reflect.DeepEqual(list, want) {
		t.Errorf("%+v, %v", list, err)
	}
	check(t, s.SetSkater(ctx, nel, func([]byte) ([]byte, error) { return []byte("Nela"), nil }))
	if one, err := s.Skater(ctx, nel); err != nil || string(one.Body) != "Nela" {
		t.Errorf("%+v, %v", one, err)
	}
	for range 2 { // a repetition is no error
		check(t, s.DeleteSkater(ctx, mira))
	}
	if again := addSkater(t, s, id, "Olli"); again != 3 {
		t.Errorf("the next has the number %d", again)
	}
	for _, key := range []books.Key{mira, {Book: id, Skater: 0}, {Book: id, Skater: 9}, {Book: "other", Skater: 2}} {
		for what, err := range map[string]error{
			"read": second(s.Skater(ctx, key)), "set": s.SetSkater(ctx, key, func(b []byte) ([]byte, error) { return b, nil }),
			"add": second(s.AddAttempts(ctx, key, books.Request{}, tried("x", 1))), "import": second(s.ImportAttempts(ctx, key, tried("x", 1))),
			"change": second(s.AddChange(ctx, key, books.Request{}, books.Change{})), "delete an attempt": s.DeleteAttempt(ctx, key, 1),
		} {
			refused(t, what, err, books.ErrSkaterUnknown)
		}
	}
	refused(t, "a skater that never was", s.DeleteSkater(ctx, books.Key{Book: id, Skater: 9}), books.ErrSkaterUnknown)
}

// Attempts come back as they were added, and as they were changed, by all that selects
// them.
func testAttempts(t *testing.T, kind Kind) {
	s, key := begun(t, kind.New(t))
	ctx := t.Context()
	given := tried("a", 5)
	given[4].Planned, given[4].Time = "2A", time.Time{} // when the request came
	if added := add(t, s, key, given); added != (books.Added{First: 1, At: start}) {
		t.Errorf("%+v", added)
	}
	other := books.Key{Book: id, Skater: addSkater(t, s, id, "Nel")}
	add(t, s, other, tried("b", 2))
	for i := range given {
		given[i].ID = int64(i + 1)
	}
	given[4].Time = start
	for name, c := range map[string]struct {
		filter books.Filter
		page   books.Page
		want   []int // the newest first
	}{
		"all":           {books.Filter{}, books.Page{Most: 9}, []int{3, 2, 1, 4, 0}},
		"a page":        {books.Filter{}, books.Page{Skip: 1, Most: 2}, []int{2, 1}},
		"behind":        {books.Filter{}, books.Page{Skip: 5, Most: 2}, nil},
		"from and to":   {books.Filter{From: start.Add(time.Minute), To: start.Add(3 * time.Minute)}, books.Page{Most: 9}, []int{2, 1}},
		"code":          {books.Filter{Planned: "2A"}, books.Page{Most: 9}, []int{4}},
		"in a program":  {books.Filter{InPrograms: true, WithRest: true, Planned: "2A"}, books.Page{Most: 9}, []int{4}},
		"a run-through": {books.Filter{RunThrough: "b"}, books.Page{Most: 9}, nil},
	} {
		var want []books.Attempt
		for _, i := range c.want {
			want = append(want, given[i])
		}
		got, err := s.Attempts(ctx, key, c.filter, c.page)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %+v, %v, want %+v", name, got, err, want)
		}
	}
	before, err := s.Skater(ctx, key)
	check(t, err)
	changed := given[1]
	changed.Came, changed.Grade, changed.Rest = "1Lz", given[0].Grade, []byte("late")
	check(t, s.SetAttempt(ctx, key, 2, func(a *books.Attempt) error { *a = changed; return nil }))
	for range 2 { // a repetition is no error
		check(t, s.DeleteAttempt(ctx, key, 3))
	}
	got, err := s.AllAttempts(ctx, key, books.Filter{})
	if want := []books.Attempt{given[0], given[4], changed, given[3]}; err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, %v", got, err)
	}
	after, err := s.Skater(ctx, key)
	if err != nil || after.Revision <= before.Revision || after.Attempts != 4 {
		t.Errorf("%+v, then %+v: %v", before, after, err)
	}
	refused(t, "one that is gone", s.SetAttempt(ctx, key, 3, func(*books.Attempt) error { return nil }), books.ErrAttemptUnknown)
	refused(t, "one that never was", s.DeleteAttempt(ctx, key, 6), books.ErrAttemptUnknown)
	counted := 0
	check(t, s.Count(ctx, key, start.Add(time.Minute), func(at time.Time, o *books.Outcome) {
		counted++
		if at == changed.Time && *o != changed.Outcome {
			t.Errorf("%+v, want %+v", o, changed.Outcome)
		}
	}))
	if counted != 2 {
		t.Errorf("%d were counted", counted)
	}
	if added := add(t, s, key, tried("c", 1)); added.First != 6 {
		t.Errorf("the next has the number %d", added.First)
	}
}

// A repeated request adds nothing and is answered alike, also when what it added is
// gone; another one of the same id is refused.
func testRepeat(t *testing.T, kind Kind) {
	s, key := begun(t, kind.New(t))
	ctx := t.Context()
	request := books.Request{ID: "r", Digest: []byte("1"), At: start}
	later := request
	later.At = start.Add(time.Hour)
	additions := map[string]func(books.Request) (books.Added, error){
		"skater":   func(r books.Request) (books.Added, error) { return s.AddSkater(ctx, id, r, []byte("Nel")) },
		"attempts": func(r books.Request) (books.Added, error) { return s.AddAttempts(ctx, key, r, tried("a", 3)) },
	}
	for name, do := range additions {
		first, err := do(request)
		check(t, err)
		if name == "attempts" {
			check(t, s.DeleteAttempt(ctx, key, first.First))
		}
		again, err := do(later)
		if want := (books.Added{First: first.First, At: start, Again: true}); err != nil || first.Again || again != want {
			t.Errorf("%s: %+v, then %+v, %v", name, first, again, err)
		}
		other := request
		other.Digest = []byte("2")
		refused(t, name, second(do(other)), store.ErrRequestReused)
		without, err := do(books.Request{At: start})
		if err != nil || without.First == first.First {
			t.Errorf("%s without an id: %+v, %v", name, without, err)
		}
	}
	if skater, err := s.Skater(ctx, key); err != nil || skater.Attempts != 5 {
		t.Errorf("%+v, %v", skater, err)
	}
	if list, err := s.Skaters(ctx, id); err != nil || len(list) != 3 || list[2].ID != 3 {
		t.Errorf("%+v, %v", list, err)
	}
}

// Importing passes over what is there, each attempt standing for one line.
func testImport(t *testing.T, kind Kind) {
	s, key := begun(t, kind.New(t))
	add(t, s, key, tried("a", 2))
	given := append(tried("a", 3), tried("a", 1)...)
	for _, want := range []int{2, 0} {
		if added, err := s.ImportAttempts(t.Context(), key, given); err != nil || added != want {
			t.Errorf("%d were added, want %d: %v", added, want, err)
		}
	}
}

func testChanges(t *testing.T, kind Kind) {
	s, key := begun(t, kind.New(t))
	ctx := t.Context()
	request := books.Request{ID: "r", Digest: []byte("1"), At: start.Add(time.Hour)}
	for range 2 {
		added, err := s.AddChange(ctx, key, request, books.Change{Text: "new blades"})
		if err != nil || added.First != 1 {
			t.Errorf("%+v, %v", added, err)
		}
	}
	_, err := s.AddChange(ctx, key, books.Request{At: start}, books.Change{Text: "new entry", Code: "3Lz", Time: start})
	check(t, err)
	list, err := s.Changes(ctx, key)
	want := []books.Change{{ID: 1, Time: start.Add(time.Hour), Text: "new blades"}, {ID: 2, Time: start, Text: "new entry", Code: "3Lz"}}
	if err != nil || !reflect.DeepEqual(list, want) {
		t.Errorf("%+v, %v", list, err)
	}
	for range 2 {
		check(t, s.DeleteChange(ctx, key, 1))
	}
	refused(t, "one that never was", s.DeleteChange(ctx, key, 3), books.ErrChangeUnknown)
	if list, err = s.Changes(ctx, key); err != nil || len(list) != 1 {
		t.Errorf("%+v, %v", list, err)
	}
}

// What is one too many is refused as a whole.
func testFull(t *testing.T, kind Kind) {
	limits := books.Limits
	defer func() { books.Limits = limits }()
	books.Limits.Skaters, books.Limits.Attempts, books.Limits.Changes = 2, 3, 1
	s, key := begun(t, kind.New(t))
	ctx := t.Context()
	add(t, s, key, tried("a", 2))
	refused(t, "attempts", second(s.AddAttempts(ctx, key, books.Request{}, tried("b", 2))), books.ErrFull)
	refused(t, "imported ones", second(s.ImportAttempts(ctx, key, tried("b", 4))), books.ErrFull)
	if added := add(t, s, key, tried("c", 1)); added.First != 3 {
		t.Errorf("%+v", added)
	}
	check(t, second(s.AddChange(ctx, key, books.Request{At: start}, books.Change{Text: "x"})))
	refused(t, "changes", second(s.AddChange(ctx, key, books.Request{At: start}, books.Change{Text: "y"})), books.ErrFull)
	addSkater(t, s, id, "Nel")
	refused(t, "skaters", second(s.AddSkater(ctx, id, books.Request{}, nil)), books.ErrFull)
}

// Callers at once lose nothing, double nothing, and leave no gap in the numbers; the
// same request many times at once adds once.
func testConcurrent(t *testing.T, kind Kind) {
	place := kind.New(t)
	s, key := begun(t, place)
	stores := []*books.Store{s, s}
	if kind.Shared {
		stores[1] = open(t, place)
	}
	const callers, requests = 6, 10
	var wait sync.WaitGroup
	for caller := range callers {
		wait.Go(func() {
			for i := range requests {
				name := strings.Repeat("x", caller+1) + string(rune('a'+i))
				for _, r := range []books.Request{{ID: name, Digest: []byte(name), At: start}, {ID: "same", Digest: []byte("same"), At: start}} {
					if _, err := stores[caller%2].AddAttempts(t.Context(), key, r, tried(r.ID, 2)); err != nil {
						t.Error(err)
					}
				}
			}
		})
	}
	wait.Wait()
	list, err := s.AllAttempts(t.Context(), key, books.Filter{})
	check(t, err)
	slices.SortFunc(list, func(a, b books.Attempt) int { return int(a.ID - b.ID) })
	const want = 2 * (callers*requests + 1)
	if len(list) != want || list[0].ID != 1 || list[len(list)-1].ID != want {
		t.Errorf("%d attempts, want %d, to number %d", len(list), want, list[len(list)-1].ID)
	}
	for i := 0; i+1 < len(list); i += 2 {
		if list[i].RunThrough != list[i+1].RunThrough {
			t.Errorf("attempts %d and %d are of two requests", list[i].ID, list[i+1].ID)
		}
	}
}

// A call whose context has ended changes nothing, and the store goes on.
func testCancel(t *testing.T, kind Kind) {
	s, key := begun(t, kind.New(t))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	refused(t, "add", second(s.AddAttempts(ctx, key, books.Request{At: start}, tried("a", 1))), context.Canceled)
	if _, err := s.AllAttempts(ctx, key, books.Filter{}); err != nil && !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	if got, err := s.Skater(t.Context(), key); err != nil || got.Attempts != 0 {
		t.Errorf("%+v, %v", got, err)
	}
}

func testReopen(t *testing.T, kind Kind) {
	place := kind.New(t)
	s, key := begun(t, place)
	add(t, s, key, tried("a", 3))
	before, err := s.AllAttempts(t.Context(), key, books.Filter{})
	check(t, err)
	check(t, s.Close())
	s = open(t, place)
	check(t, s.Ready(t.Context()))
	after, err := s.AllAttempts(t.Context(), key, books.Filter{})
	if err != nil || !reflect.DeepEqual(before, after) {
		t.Errorf("was %+v, is %+v: %v", before, after, err)
	}
}

// Who comes second is refused until the first has closed.
func testAlone(t *testing.T, kind Kind) {
	place := kind.New(t)
	s, key := begun(t, place)
	if other, err := place(); !errors.Is(err, store.ErrLocked) {
		t.Fatalf("a second one: %v, %v", other, err)
	}
	add(t, s, key, tried("a", 1))
	check(t, s.Close())
	open(t, place)
}
