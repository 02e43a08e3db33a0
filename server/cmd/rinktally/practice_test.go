package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/rinktally/rinktally/server/access"
	"github.com/rinktally/rinktally/server/store/books"
	"github.com/rinktally/rinktally/server/store/sqlite"
)

// The commands list, copy and delete books and replace a token that is lost, and show
// nothing of what stands in a book.
func TestPracticeCommands(t *testing.T) {
	data := t.TempDir()
	path := filepath.Join(data, "practice.db")
	const id, title = "k3v5q2c7m4x6b3ta", "Invented club"
	practice := func(args ...string) (string, error) {
		t.Helper()
		var out bytes.Buffer
		cmd := practiceCommand()
		cmd.SetArgs(append(args, "--data", data))
		cmd.SetOut(&out)
		cmd.SetErr(&out)
		err := cmd.ExecuteContext(t.Context())
		return out.String(), err
	}
	with := func(path string, do func(*books.Store)) {
		t.Helper()
		s, err := sqlite.OpenBooks(t.Context(), path)
		if err != nil {
			t.Fatal(err)
		}
		do(s)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := practice("list"); err == nil || !strings.Contains(err.Error(), "no books of attempts are kept") {
		t.Errorf("without books: %v", err)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("looking for books has made a file")
	}
	with(path, func(s *books.Store) {
		if err := s.CreateBook(t.Context(), &books.Book{ID: id, Token: []byte("hash"), Created: time.Now(), Body: []byte(title)}); err != nil {
			t.Fatal(err)
		}
		if _, err := practice("list"); err == nil || !strings.Contains(err.Error(), "a server uses") {
			t.Errorf("beside a server: %v", err)
		}
		if out, err := practice("backup", filepath.Join(data, "copy.db")); err != nil {
			t.Errorf("a copy beside a server: %s, %v", out, err)
		}
	})
	if out, err := practice("list"); err != nil || !strings.Contains(out, id) || strings.Contains(out, title) {
		t.Errorf("list: %s, %v", out, err)
	}
	token, err := practice("token", id)
	if err != nil {
		t.Fatal(err)
	}
	with(path, func(s *books.Store) {
		if b, err := s.Book(t.Context(), id); err != nil || string(b.Token) != string(access.Hash(strings.TrimSpace(token))) {
			t.Errorf("%v: the printed token is not that of the book", err)
		}
	})
	if out, err := practice("delete", id); err != nil || !strings.Contains(out, "deleted "+id) {
		t.Errorf("delete: %s, %v", out, err)
	}
	for _, args := range [][]string{{"delete", id}, {"token", id}} {
		if _, err := practice(args...); err == nil || !strings.Contains(err.Error(), "there is no book") {
			t.Errorf("%v: %v", args, err)
		}
	}
	with(filepath.Join(data, "copy.db"), func(s *books.Store) {
		if b, err := s.Book(t.Context(), id); err != nil || string(b.Body) != title {
			t.Errorf("the copy: %+v, %v", b, err)
		}
	})
	for _, name := range []string{path, filepath.Join(data, "copy.db")} {
		if info, err := os.Stat(name); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", name, info.Mode(), err)
		}
	}
}
