package rules

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// Layer is a tree of season folders. A later layer adds seasons or replaces
// those of the same key in earlier ones.
type Layer struct {
	Name string // prefix of file names in faults, such as a directory
	FS   fs.FS
}

// Catalog holds every loaded season. It does not change after loading.
type Catalog struct {
	seasons map[string]*Season
	order   []string // oldest first
}

const (
	paramsFile  = "season.yaml"
	levelsFile  = "levels.yaml"
	contentFile = "program.yaml"
)

var seasonKey = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,62}$`)

// RowCheck says why a row with a code and a kind of its own (often none) is of no
// use, or nil.
type RowCheck func(code, kind string) error

// Load reads all season folders of all layers. It either gives a complete
// catalog or every fault found, as TableFaults with file and line.
func Load(layers ...Layer) (*Catalog, error) { return LoadChecked(nil, layers...) }

// LoadChecked is Load with a check of every row of values, for what only the
// readers of codes know. A nil check lets every row pass.
func LoadChecked(check RowCheck, layers ...Layer) (*Catalog, error) {
	l := &loader{
		check: check, sources: map[string]*seasonSource{}, done: map[string]*Season{},
		misfit: map[*yaml.Node]bool{}, told: map[string]bool{},
	}
	for _, layer := range layers {
		l.scan(layer)
	}
	c := &Catalog{seasons: map[string]*Season{}}
	for _, key := range SortedKeys(l.sources) {
		if s := l.season(key, nil); s != nil {
			c.seasons[key] = s
			c.order = append(c.order, key)
		}
	}
	if len(c.order) == 0 && len(l.faults) == 0 {
		l.fault("", 0, "no season tables found: want folders with a %s", paramsFile)
	}
	if len(l.faults) > 0 {
		slices.SortStableFunc(l.faults, func(a, b TableFault) int {
			return cmp.Or(strings.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line))
		})
		return nil, l.faults
	}
	slices.SortStableFunc(c.order, func(a, b string) int {
		return strings.Compare(c.seasons[a].ValidFrom+a, c.seasons[b].ValidFrom+b)
	})
	return c, nil
}

// Season finds a season by key or says which exist.
func (c *Catalog) Season(key string) (*Season, error) {
	if s := c.seasons[key]; s != nil {
		return s, nil
	}
	return nil, Fault("season", ReasonSeasonUnknown, "there is no season %s; loaded are: %s", Quote(key), AllowList(append(slices.Clone(c.order), "current")))
}

// Seasons lists all seasons, oldest first.
func (c *Catalog) Seasons() []*Season {
	list := make([]*Season, len(c.order))
	for i, key := range c.order {
		list[i] = c.seasons[key]
	}
	return list
}

// Current gives the season whose table is valid on a date (YYYY-MM-DD). When
// none is, it gives the newest table and a warning that says so.
func (c *Catalog) Current(date string) (*Season, *Warning) {
	var newest *Season
	for _, s := range c.Seasons() {
		if s.ValidFrom == "" {
			continue
		}
		if s.ValidFrom <= date && date <= s.ValidTo {
			return s, nil
		}
		if newest == nil || s.ValidFrom > newest.ValidFrom {
			newest = s
		}
	}
	if newest == nil {
		newest = c.seasons[c.order[len(c.order)-1]]
	}
	return newest, &Warning{
		Code:    WarnSeasonNotFound,
		Rule:    "valid_to",
		Message: fmt.Sprintf("no table is valid on %s; season %s, the newest one loaded, is used instead", date, newest.Params.Season),
	}
}

// seasonSource is one season's folder before loading. Its files are read once,
// so that what is loaded and what the revision names are the same bytes.
type seasonSource struct {
	name  string // folder as faults name it
	files map[string][]byte
}

type loader struct {
	check   RowCheck
	sources map[string]*seasonSource
	done    map[string]*Season
	trees   map[string]*tree    // merged YAML by season + file, for children
	misfit  map[*yaml.Node]bool // values told of because they do not fit their field
	told    map[string]bool     // faults of what stands in several places of a tree
	faults  TableFaults
}

func (l *loader) fault(file string, line int, format string, args ...any) {
	l.faults = append(l.faults, TableFault{File: file, Line: line, Message: fmt.Sprintf(format, args...)})
}

func (l *loader) scan(layer Layer) {
	entries, err := fs.ReadDir(layer.FS, ".")
	if err != nil {
		l.fault(layer.Name, 0, "cannot be read: %v", err)
		return
	}
	for _, e := range entries {
		if !e.IsDir() {
			if slices.Contains(tableFiles, e.Name()) {
				l.fault(path.Join(layer.Name, e.Name()), 0, "lies beside the season folders and is not read; move it into the folder of its season, KEY/%s", e.Name())
			}
			continue
		}
		if _, err := fs.Stat(layer.FS, path.Join(e.Name(), paramsFile)); err != nil {
			if errors.Is(err, fs.ErrNotExist) && !strings.HasPrefix(e.Name(), ".") {
				l.fault(path.Join(layer.Name, e.Name()), 0, "is a folder without %s", paramsFile)
			}
			continue
		}
		if !seasonKey.MatchString(e.Name()) {
			l.fault(path.Join(layer.Name, e.Name()), 0, "is not a season key: want small letters, digits and hyphens, such as 2025-26 or our-club-2026")
			continue
		}
		l.sources[e.Name()] = l.read(layer, e.Name())
	}
}

// tableFiles are the files of a season folder, in the order they are hashed.
var tableFiles = []string{paramsFile, levelsFile, contentFile, string(Singles) + ".csv", string(Pairs) + ".csv", string(Dance) + ".csv"}

func (l *loader) read(layer Layer, dir string) *seasonSource {
	src := &seasonSource{name: path.Join(layer.Name, dir), files: map[string][]byte{}}
	l.strange(layer, dir, src.name)
	for _, file := range tableFiles {
		data, err := fs.ReadFile(layer.FS, path.Join(dir, file))
		switch {
		case err == nil:
			src.files[file] = data
		case !errors.Is(err, fs.ErrNotExist):
			l.fault(path.Join(src.name, file), 0, "cannot be read: %v", err)
		}
	}
	return src
}

// casesFolder is where the golden cases of a season lie. They are read elsewhere.
const casesFolder = "cases"

// strange tells of what lies in a season folder like a part of its table and is
// none: most often a name with a slip in it, whose content would be missed without
// a word. Copies that editors keep beside a file are left alone.
func (l *loader) strange(layer Layer, dir, name string) {
	entries, err := fs.ReadDir(layer.FS, dir)
	if err != nil {
		l.fault(name, 0, "cannot be read: %v", err)
	}
	have := func(file string) bool {
		return slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return e.Name() == file })
	}
	for _, e := range entries {
		small := strings.ToLower(e.Name())
		isTable := slices.Contains([]string{".yaml", ".yml", ".csv"}, path.Ext(small)) ||
			slices.ContainsFunc(tableFiles, func(file string) bool {
				stem, _, _ := strings.Cut(file, ".")
				return strings.HasPrefix(small, stem+".") && !have(file)
			})
		switch {
		case e.IsDir() && e.Name() != casesFolder && Nearest(small, []string{casesFolder}) != "":
			l.fault(path.Join(name, e.Name()), 0, "is not read; golden cases lie in a folder %s", casesFolder)
		case !e.IsDir() && isTable && !slices.Contains(tableFiles, e.Name()):
			l.fault(path.Join(name, e.Name()), 0, "is not a file of a season table and is not read; %s", meant(e.Name(), tableFiles))
		}
	}
}

// season loads one season and, before it, what it extends. chain holds the
// seasons being loaded, to find circles.
func (l *loader) season(key string, chain []string) *Season {
	if s, ok := l.done[key]; ok {
		return s
	}
	src := l.sources[key]
	if src == nil {
		return nil
	}
	l.done[key] = nil // a season that fails is tried once
	paramsName := path.Join(src.name, paramsFile)
	faultsBefore := len(l.faults)

	var own Params
	params := l.readTree(src, paramsFile, &own)
	if params == nil {
		l.alone(src)
		return nil
	}
	var parent *Season
	parentTree := func(string) *tree { return nil }
	if own.Extends != "" {
		at := params.line("extends")
		chain = append(chain, key)
		switch {
		case slices.Contains(chain, own.Extends):
			l.fault(paramsName, at, "extends: %s extends itself in a circle", own.Extends)
			l.alone(src)
			return nil
		case l.sources[own.Extends] == nil:
			others := slices.DeleteFunc(SortedKeys(l.sources), func(k string) bool { return slices.Contains(chain, k) })
			slices.Reverse(others) // of equally near keys the newest is meant
			l.fault(paramsName, at, "extends: there is no season %s; %s", Quote(own.Extends), meant(own.Extends, others))
			own.Extends = Nearest(own.Extends, others) // so that the other faults are told as well
		}
		if parent = l.season(own.Extends, chain); parent == nil {
			l.alone(src) // what it lies over is not known, or has faults that are told already
			return nil
		}
		parentTree = func(file string) *tree { return l.trees[own.Extends+"/"+file] }
	}

	s := &Season{values: map[Discipline]*ValueTable{}, cites: map[string]Cite{}, parent: parent}
	before := len(l.faults)
	inherited := parentTree(paramsFile)
	if own.Panel.TrimFrom != 0 { // its own rule for panels of all sizes: what was said of the parent's does not hold for it
		inherited = inherited.without("panel", "source", "confidence", "note", "small")
	}
	merged := params.over(inherited, "season", "title", "extends", "valid_from", "valid_to", "sheets", "values", "source", "confidence", "note")
	l.decode(merged, &s.Params)
	levels := l.readTree(src, levelsFile, new(LevelRules))
	levels = levels.over(parentTree(levelsFile))
	laid := levels.laid("spins", "pairs", "spins")
	if laid != nil {
		s.Levels = new(LevelRules)
		l.decode(laid, s.Levels)
	}
	content := l.readTree(src, contentFile, new(ContentRules))
	content = content.over(parentTree(contentFile))
	layouts := content.likened("layouts")
	if layouts != nil {
		s.Content = new(ContentRules)
		l.decode(layouts, s.Content)
	}
	if s.Params.Season != key {
		l.fault(paramsName, params.line("season"), "season: is %s, but the folder is %s; they must be equal", Quote(s.Params.Season), key)
	}
	s.flatten("", merged)
	s.flatten("levels", levels)
	s.check(func(p, format string, args ...any) { l.semantic(merged, p, fmt.Sprintf(format, args...)) })
	if s.Levels != nil {
		s.Levels.check(func(p, message string) { l.semantic(laid, p, message) })
	}
	s.flatten("program", layouts)
	if s.Content != nil {
		s.Content.check(func(p, message string) { l.semantic(layouts, p, message) })
	}
	if len(l.faults) == before {
		s.resolve()
		s.Content.resolve(s.Unsure)
	}
	for _, d := range Disciplines {
		l.valueTable(s, d, src, parent)
	}
	if len(l.faults) > faultsBefore {
		return nil
	}
	s.Revision, s.files = src.revision(parent), src.files
	if l.trees == nil {
		l.trees = map[string]*tree{}
	}
	l.trees[key+"/"+paramsFile], l.trees[key+"/"+levelsFile], l.trees[key+"/"+contentFile] = merged, levels, content
	l.done[key] = s
	return s
}

// alone tells of what is wrong in the other files of a season whose parameters
// cannot be used: what does not fit in its YAML, and rows that are none on the
// widest scale of GOE.
func (l *loader) alone(src *seasonSource) {
	l.readTree(src, levelsFile, new(LevelRules))
	l.readTree(src, contentFile, new(ContentRules))
	for _, d := range Disciplines {
		file := string(d) + ".csv"
		if data, ok := src.files[file]; ok {
			l.parseValues(new(Season), d, path.Join(src.name, file), data, nil)
		}
	}
}

// readTree reads one YAML file and decodes it strictly into probe, so that
// unknown fields and wrong types are told with the file's own lines. It gives
// nil when there is no such file or it cannot be used.
func (l *loader) readTree(src *seasonSource, file string, probe any) *tree {
	name := path.Join(src.name, file)
	data, ok := src.files[file]
	if !ok {
		return nil
	}
	f := &fitting{file: name, misfit: l.misfit}
	root := f.read(data, probe)
	l.faults = append(l.faults, f.faults...)
	if root == nil {
		return nil
	}
	return newTree(root, name)
}

// decode fills a struct from a merged tree. Each file's own values that do not
// fit were told when the file was read, with the file's name and line.
func (l *loader) decode(t *tree, into any) {
	if err := t.node.Decode(into); err != nil && len(l.faults) == 0 {
		l.faults = append(l.faults, decodeFaults(t.files[t.node], err)...)
	}
}

// semantic adds a fault at a path of a merged tree, unless what stands there is
// told already because it does not even fit its field.
func (l *loader) semantic(t *tree, p, message string) {
	file, line, n := t.locate(p)
	once := fmt.Sprintf("%s:%d: %s", file, line, message)
	if l.misfit[n] || l.told[once] {
		return
	}
	l.told[once] = true
	l.fault(file, line, "%s: %s", p, message)
}

// revision hashes everything the season rests on: its own files and its parent's.
func (src *seasonSource) revision(parent *Season) string {
	h := sha256.New()
	if parent != nil {
		h.Write([]byte(parent.Revision))
	}
	for _, name := range tableFiles {
		if data, ok := src.files[name]; ok {
			fmt.Fprintf(h, "\n%s %d\n", name, len(data))
			h.Write(data)
		}
	}
	return "sha256:" + hex.EncodeToString(h.Sum(nil))
}

// Files gives the text of every file that the season rests on, its own and
// those of the seasons it extends, by path (2025-26/season.yaml). Loading them
// again gives a season of the same revision.
func (s *Season) Files() map[string][]byte {
	all := map[string][]byte{}
	for ; s != nil; s = s.parent {
		for name, data := range s.files {
			all[s.Params.Season+"/"+name] = data
		}
	}
	return all
}
