package bookstest

import (
	"fmt"
	"testing"

	"github.com/rinktally/rinktally/server/store/books"
)

// person and other are two texts that no file has by chance.
const (
	person = "Mirabelle Invented-Quince"
	other  = "Ottoline Invented-Medlar"
)

// written puts a text wherever a skater's page takes one, often enough that rows move
// about in their pages.
func written(t testing.TB, s *books.Store, book, text string) books.Key {
	t.Helper()
	key := books.Key{Book: book, Skater: addSkater(t, s, book, text)}
	for i := range 25 {
		list := tried(text, 5)
		for j := range list {
			list[j].Cause, list[j].Planned, list[j].Came = "cause of "+text, "3Lz"+text, "2Lz"+text
		}
		request := books.Request{ID: fmt.Sprint(text, i), Digest: []byte("digest"), At: start}
		check(t, second(s.AddAttempts(t.Context(), key, request, list)))
		check(t, second(s.AddChange(t.Context(), key, books.Request{ID: "c" + request.ID, Digest: []byte("digest"), At: start}, books.Change{Text: text, Code: text})))
	}
	check(t, s.SetAttempt(t.Context(), key, 7, func(a *books.Attempt) error { a.Rest = []byte("note on " + text); return nil }))
	check(t, s.DeleteAttempt(t.Context(), key, 9))
	return key
}

// Of a skater or a book that was deleted no bytes are left in the files of the tables;
// who stays is not touched.
func testErase(t *testing.T, kind Kind) {
	place, raw := kind.NewRaw(t)
	s := open(t, place)
	makeBook(t, s, id)
	gone, stays := written(t, s, id, person), written(t, s, id, other)
	held := func(text string, want bool) {
		t.Helper()
		if found := raw.Holding(t, text); (len(found) > 0) != want {
			t.Errorf("%q is in %q", text, found)
		}
	}
	held(person, true)
	check(t, s.DeleteSkater(t.Context(), gone))
	held(person, false)
	held(other, true)
	if list, err := s.AllAttempts(t.Context(), stays, books.Filter{}); err != nil || len(list) != 124 {
		t.Errorf("%d attempts, %v", len(list), err)
	}
	const title = "book of Invented-Damsons"
	makeBook(t, s, "second")
	check(t, s.SetBook(t.Context(), "second", func([]byte) ([]byte, error) { return []byte(title), nil }))
	written(t, s, "second", person)
	check(t, s.DeleteBook(t.Context(), "second"))
	held(person, false)
	held(title, false)
	held(other, true)
}

// Bytes that a crash has kept from being erased are erased at the next start.
func testEraseLater(t *testing.T, kind Kind) {
	place, raw := kind.NewRaw(t)
	s := open(t, place)
	makeBook(t, s, id)
	key := written(t, s, id, person)
	check(t, s.Close())
	raw.Exec(t, "DELETE FROM attempt", "DELETE FROM change", "DELETE FROM request", "DELETE FROM skater", "UPDATE erasing SET due = 1")
	s = open(t, place)
	if found := raw.Holding(t, person); len(found) > 0 {
		t.Errorf("the text is still in %q", found)
	}
	if _, err := s.Skater(t.Context(), key); err == nil {
		t.Error("the skater is still there")
	}
}
