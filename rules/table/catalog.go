// Package table reads season tables from an fs.FS: YAML and CSV files, one season
// laid over another, checked, each value with its path, source and confidence.
package table

import (
	"cmp"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/rinktally/rinktally/rules"
)

// Placeholder begins the source of a starter file. Who leaves it there has not
// said where the rules come from, which is a fault of the table.
const Placeholder = "say here"

// Catalog holds the seasons of some layers. A season is compiled when it is first
// asked for and does not change after that. It is safe for use by several
// goroutines.
type Catalog struct {
	folders  map[string]*folder
	added    []string               // keys of the seasons that are not those of the catalog below
	faults   rules.TableFaults      // of what lies around the seasons' files
	listed   func() []*listed       // oldest first, read when they are first asked for
	headings func() []rules.Heading // of the listed

	compiling sync.Mutex
	all       atomic.Pointer[everything]
}

// everything is what compiling all seasons led to.
type everything struct {
	seasons []*rules.Season // those without faults, oldest first
	faults  rules.TableFaults
}

// folder is one season's folder. Its files are read once, so that what is compiled
// and what the revision names are the same bytes.
type folder struct {
	key    string
	name   string // as faults name it
	files  map[string]func() []byte
	kept   bool                             // of a layer that is Kept
	load   func(key string) ([]byte, error) // of a frozen season, which has no files
	result atomic.Pointer[compiled]
}

// Load reads all season folders of all layers and compiles them. It returns
// either a complete catalog or every fault found, as rules.TableFaults with file
// and line.
func Load(layers ...Layer) (*Catalog, error) {
	c := Read(layers...)
	if err := c.Compile(); err != nil {
		return nil, err
	}
	return c, nil
}

// Read reads all season folders of all layers; a later layer adds seasons or
// replaces those of the same key. It compiles none of them.
func Read(layers ...Layer) *Catalog { return new(Catalog).Over(layers...) }

// Over lays further layers over a catalog. Seasons that are compiled already are
// not compiled again, unless a layer replaces one that they may extend.
func (c *Catalog) Over(layers ...Layer) *Catalog {
	over := &Catalog{folders: maps.Clone(c.folders), faults: slices.Clone(c.faults), listed: c.listed, headings: c.headings}
	if over.folders == nil {
		over.folders = map[string]*folder{}
	}
	replaced := false
	for _, layer := range layers {
		found, faults := readLayer(layer)
		over.faults = append(over.faults, faults...)
		for _, f := range found {
			replaced = replaced || c.folders[f.key] != nil
			over.folders[f.key] = f
			over.added = append(over.added, f.key)
		}
	}
	if replaced {
		for key, f := range over.folders {
			over.folders[key] = &folder{key: f.key, name: f.name, files: f.files, kept: f.kept}
		}
		over.added = rules.SortedKeys(over.folders)
	}
	if len(layers) > 0 || over.headings == nil {
		over.listed = sync.OnceValue(lister{over.folders, map[string]*listed{}}.all)
		over.headings = sync.OnceValue(func() []rules.Heading { return headings(over.listed()) })
	}
	return over
}

// CompileAdded compiles the seasons that the layers of Over have added or may have
// changed. It returns their faults as Compile does.
func (c *Catalog) CompileAdded() error {
	faults := slices.Clone(c.faults)
	c.compiling.Lock()
	defer c.compiling.Unlock()
	for _, key := range c.added {
		faults = append(faults, c.compile(c.folders[key], nil).faults...)
	}
	if len(faults) > 0 {
		return inOrder(faults)
	}
	return nil
}

// Compile compiles all seasons. It returns every fault found, as rules.TableFaults
// in the order of files and lines.
func (c *Catalog) Compile() error {
	if all := c.everything(); len(all.faults) > 0 {
		return all.faults
	}
	return nil
}

func (c *Catalog) everything() *everything {
	if all := c.all.Load(); all != nil {
		return all
	}
	c.compiling.Lock()
	defer c.compiling.Unlock()
	all := &everything{faults: slices.Clone(c.faults)}
	for _, key := range rules.SortedKeys(c.folders) {
		done := c.compile(c.folders[key], nil)
		all.faults = append(all.faults, done.faults...)
		if done.season != nil {
			all.seasons = append(all.seasons, done.season)
		}
	}
	if len(all.seasons) == 0 && len(all.faults) == 0 {
		all.faults = rules.TableFaults{{Message: "no season tables found: want folders with a " + paramsFile}}
	}
	all.faults = inOrder(all.faults)
	slices.SortFunc(all.seasons, func(a, b *rules.Season) int { return older(a.Heading(), b.Heading()) })
	c.all.Store(all)
	return all
}

// inOrder sorts faults by file and line and leaves each once: what stands in
// several places of a table's tree is at fault in one line.
func inOrder(faults rules.TableFaults) rules.TableFaults {
	slices.SortStableFunc(faults, func(a, b rules.TableFault) int {
		return cmp.Or(strings.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line))
	})
	seen := map[rules.TableFault]bool{}
	return slices.DeleteFunc(faults, func(f rules.TableFault) bool {
		again := seen[f]
		seen[f] = true
		return again
	})
}

// Season returns the season with a key. The error is a rules.FieldError that says
// which seasons there are, or the faults of the season's table.
func (c *Catalog) Season(key string) (*rules.Season, error) {
	f := c.folders[key]
	if f == nil {
		return nil, rules.Fault("season", rules.ReasonSeasonUnknown, "there is no season %s; loaded are: %s", rules.Quote(key), rules.AllowList(append(c.Keys(), Current)))
	}
	done := f.result.Load()
	if done == nil {
		c.compiling.Lock()
		defer c.compiling.Unlock()
		var err error
		if done, err = c.make(f); err != nil {
			return nil, err
		}
	}
	if done.season != nil {
		return done.season, nil
	}
	for len(done.faults) == 0 { // it extends a season that is at fault
		done = done.parent
	}
	return nil, inOrder(slices.Clone(done.faults))
}

// make compiles a season, or thaws it.
func (c *Catalog) make(f *folder) (*compiled, error) {
	if f.load == nil || f.result.Load() != nil {
		return c.compile(f, nil), nil
	}
	return f.thaw()
}

// Files returns the files of all seasons by path (2025-26/season.yaml). Read again
// they make the same catalog.
func (c *Catalog) Files() map[string][]byte {
	all := map[string][]byte{}
	for _, f := range c.folders {
		for name, data := range f.files {
			all[path.Join(f.key, name)] = data()
		}
	}
	return all
}

// Seasons lists all seasons without faults, oldest first. Of a thawed catalog it lists
// none: those are read one by one.
func (c *Catalog) Seasons() []*rules.Season { return slices.Clone(c.everything().seasons) }

// Current returns the season whose table is valid on a date (YYYY-MM-DD). When
// there is none, it returns the newest table and a warning that says so. The catalog
// must have a season without faults.
func (c *Catalog) Current(date string) (rules.Heading, *rules.Warning) {
	var newest *rules.Heading
	list := c.headings()
	for i, h := range list {
		if h.ValidFrom == "" {
			continue
		}
		if h.ValidFrom <= date && date <= h.ValidTo {
			return h, nil
		}
		if newest == nil || h.ValidFrom > newest.ValidFrom {
			newest = &list[i]
		}
	}
	if newest == nil {
		newest = &list[len(list)-1]
	}
	return *newest, &rules.Warning{
		Code:    rules.WarnSeasonNotFound,
		Rule:    "valid_to",
		Message: fmt.Sprintf("no table is valid on %s; season %s, the newest one loaded, is used instead", date, newest.Season),
	}
}
