package tables

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/table"
)

// Shelf keeps files beside the events: a store.Log.
type Shelf interface {
	// Keep stores a file under a name, unless one is there already.
	Keep(ctx context.Context, name string, data []byte) error
	// Kept returns a file.
	Kept(ctx context.Context, name string) ([]byte, error)
}

// Archive keeps the tables that events were made with, so that an event has
// the same rules for ever, whatever is loaded later. Each revision is a file of the
// shelf: a zip with the season's files and those of the seasons it extends.
type Archive struct {
	tables *Tables
	shelf  Shelf  // nil: kept in memory only
	folder string // where earlier programs kept revisions, a folder each; it is only read

	mu    sync.Mutex
	known map[string]*rules.Season // by revision
	kept  map[string]bool          // revisions that are on the shelf
}

// NewArchive opens the archive on a shelf; nil forgets when the program ends. A
// folder of an earlier program's revisions is read too, unless it is "".
func NewArchive(t *Tables, shelf Shelf, folder string) *Archive {
	return &Archive{tables: t, shelf: shelf, folder: folder, known: map[string]*rules.Season{}, kept: map[string]bool{}}
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
	if a.shelf == nil || a.kept[s.Revision] {
		return nil
	}
	data, err := pack(s.Files)
	if err == nil {
		err = a.shelf.Keep(context.Background(), nameOf(s.Revision), data)
	}
	if err != nil {
		return fmt.Errorf("the tables of season %s could not be kept: %w", s.Params.Season, err)
	}
	a.kept[s.Revision] = true
	return nil
}

func nameOf(revision string) string { return "tables/" + revision + ".zip" }

// pack puts files into a zip, the same one for the same files.
func pack(files map[string][]byte) ([]byte, error) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		file, err := w.Create(name)
		if err == nil {
			_, err = file.Write(files[name])
		}
		if err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return out.Bytes(), err
}

// Season finds a season by key and revision: among the loaded tables, else
// among the kept ones. What it finds elsewhere it keeps, since a server may share
// events that another one has made.
func (a *Archive) Season(key, revision string) (*rules.Season, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if s := a.known[revision]; s != nil {
		return s, nil
	}
	s, err := a.tables.Catalog().Season(key)
	if err != nil || s.Revision != revision {
		if s, err = a.stored(key, revision); err != nil {
			return nil, err
		}
	}
	// That a disk is full matters to whoever makes an event, not to readers.
	_ = a.keep(s)
	return s, nil
}

// stored reads a revision from the shelf, else from the folder.
func (a *Archive) stored(key, revision string) (*rules.Season, error) {
	missing := rules.FieldError{
		Field: "revision", Reason: ReasonRevisionMismatch,
		Message: fmt.Sprintf("the table of season %s with revision %s is neither loaded nor kept here", key, rules.Quote(revision)),
	}
	layer, err := a.layer(revision)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, missing
	}
	var catalog *table.Catalog
	if err == nil {
		layer.Kept = true
		catalog, err = table.Load(layer)
	}
	if err != nil {
		return nil, fmt.Errorf("the kept tables of season %s cannot be read: %w", key, err)
	}
	s, err := catalog.Season(key)
	if err != nil || s.Revision != revision {
		return nil, missing
	}
	return s, nil
}

// layer returns the files of a revision; fs.ErrNotExist where nothing has them.
func (a *Archive) layer(revision string) (table.Layer, error) {
	if a.shelf != nil {
		data, err := a.shelf.Kept(context.Background(), nameOf(revision))
		if err == nil {
			files, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
			return table.Layer{Name: nameOf(revision), FS: files}, err
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return table.Layer{}, err
		}
	}
	if a.folder == "" {
		return table.Layer{}, fs.ErrNotExist
	}
	folder := filepath.Join(a.folder, strings.TrimPrefix(revision, "sha256:"))
	_, err := os.Stat(folder)
	return table.Layer{Name: folder, FS: os.DirFS(folder)}, err
}
