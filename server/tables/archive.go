package tables

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/table"
)

// Archive keeps the tables that events were made with, so that an event has
// the same rules for ever, whatever is loaded later. Each revision is a folder
// with the season's files and those of the seasons it extends.
type Archive struct {
	tables *Tables
	dir    string // "" = kept in memory only

	mu    sync.Mutex
	known map[string]*rules.Season // by revision
	kept  map[string]bool          // revisions whose files are stored
}

// NewArchive opens the archive in a folder, which it makes when there is
// something to keep. Without a folder it forgets when the program ends.
func NewArchive(t *Tables, dir string) *Archive {
	return &Archive{tables: t, dir: dir, known: map[string]*rules.Season{}, kept: map[string]bool{}}
}

// Tables are the loaded tables.
func (a *Archive) Tables() *Tables { return a.tables }

// Keep stores a season's tables. Keeping a revision again changes nothing.
func (a *Archive) Keep(s *rules.Season) error {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.keep(s)
}

// keep is Keep under the lock. A season whose files cannot be stored is at least
// remembered until the program ends.
func (a *Archive) keep(s *rules.Season) error {
	a.known[s.Revision] = s
	if a.dir == "" || a.kept[s.Revision] {
		return nil
	}
	if err := a.write(s); err != nil {
		return fmt.Errorf("the tables of season %s could not be kept: %w", s.Params.Season, err)
	}
	a.kept[s.Revision] = true
	return nil
}

// write stores the files beside their final place and moves them there at once,
// so that a crash of the program or of the machine leaves no half revision.
func (a *Archive) write(s *rules.Season) error {
	target := a.folder(s.Revision)
	if _, err := os.Stat(target); err == nil {
		return nil
	}
	const private, privateFile = 0o750, 0o640
	if err := os.MkdirAll(a.dir, private); err != nil {
		return err
	}
	scratch, err := os.MkdirTemp(a.dir, "new-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(scratch) //nolint:errcheck // gone already when it was moved
	for name, data := range s.Files {
		file := filepath.Join(scratch, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(file), private); err != nil {
			return err
		}
		if err := writeFile(file, data, privateFile); err != nil {
			return err
		}
	}
	if err := os.Rename(scratch, target); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return syncFolder(a.dir)
}

// syncFolder puts the names in a folder onto the disk.
func syncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil // folders cannot be synced there
	}
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// writeFile makes a file whose bytes are on the disk.
func writeFile(name string, data []byte, mode fs.FileMode) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Sync(), f.Close())
}

func (a *Archive) folder(revision string) string {
	return filepath.Join(a.dir, strings.TrimPrefix(revision, "sha256:"))
}

// Season finds a season by key and revision: among the loaded tables, else
// among the kept ones. What it finds loaded it keeps, since a server may share
// events that another one has made.
func (a *Archive) Season(key, revision string) (*rules.Season, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if s := a.known[revision]; s != nil {
		return s, nil
	}
	if s, err := a.tables.Catalog().Season(key); err == nil && s.Revision == revision {
		// That a disk is full is told to whoever makes an event, not to readers.
		_ = a.keep(s)
		return s, nil
	}
	missing := rules.FieldError{
		Field: "revision", Reason: ReasonRevisionMismatch,
		Message: fmt.Sprintf("the table of season %s with revision %s is neither loaded nor kept here", key, rules.Quote(revision)),
	}
	if a.dir == "" {
		return nil, missing
	}
	folder := a.folder(revision)
	if _, err := os.Stat(folder); err != nil {
		return nil, missing
	}
	catalog, err := table.Load(table.Layer{Name: folder, FS: os.DirFS(folder), Kept: true})
	if err != nil {
		return nil, fmt.Errorf("the kept tables of season %s cannot be read: %w", key, err)
	}
	s, err := catalog.Season(key)
	if err != nil || s.Revision != revision {
		return nil, missing
	}
	a.known[revision] = s
	return s, nil
}
