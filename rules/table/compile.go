package table

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

const (
	paramsFile  = "season.yaml"
	levelsFile  = "levels.yaml"
	contentFile = "program.yaml"
)

// tableFiles are the files of a season folder, in the order they are hashed.
var tableFiles = []string{
	paramsFile, levelsFile, contentFile,
	valuesFile(rules.Singles), valuesFile(rules.Pairs), valuesFile(rules.Dance),
}

func valuesFile(d rules.Discipline) string { return string(d) + ".csv" }

// compiled is what became of a season's folder: the season, or its faults.
type compiled struct {
	season *rules.Season // nil when there are faults
	faults rules.TableFaults
	// params, levels and content are the YAML trees with those of the seasons that
	// this one extends below them, for seasons that extend it.
	params, levels, content *Node
	layer                   int       // how many seasons lie below
	parent                  *compiled // the season that this one extends, or nil
}

// compiler makes one season.
type compiler struct {
	catalog  *Catalog
	folder   *folder
	parent   *compiled
	season   *rules.Season
	faults   rules.TableFaults
	misfit   map[*Node]bool            // values of the season's own files that do not fit
	reported map[rules.TableFault]bool // faults of the meaning, without their paths
}

func newCompiler(c *Catalog, f *folder) *compiler {
	return &compiler{catalog: c, folder: f, misfit: map[*Node]bool{}, reported: map[rules.TableFault]bool{}}
}

func (c *compiler) fault(file string, line int, format string, args ...any) {
	c.faults = append(c.faults, rules.TableFault{File: file, Line: line, Message: fmt.Sprintf(format, args...)})
}

func (c *compiler) file(name string) string { return path.Join(c.folder.name, name) }

// compile makes the season of a folder and, before it, the one that it extends.
// chain holds the seasons that wait for this one, to find circles.
func (c *Catalog) compile(f *folder, chain []string) *compiled {
	if done := f.result.Load(); done != nil {
		return done
	}
	m := newCompiler(c, f)
	out := m.compile(chain)
	out.faults, out.parent = m.faults, m.parent
	if len(m.faults) > 0 {
		out.season = nil
	}
	f.result.Store(out)
	return out
}

func (c *compiler) compile(chain []string) *compiled {
	out := &compiled{}
	var own rules.Params
	params := c.read(paramsFile, &own)
	if params == nil || !c.extended(&own, params, append(chain, c.folder.key)) {
		c.readOthers()
		return out
	}
	var parent compiled
	if c.parent != nil {
		parent = *c.parent
	}

	out.layer = c.layer()
	params.state(out.layer) // read before the season below was known
	s := &rules.Season{Tables: map[rules.Discipline]*rules.ValueTable{}}
	c.season, out.season = s, s
	inherited := parent.params
	if own.Panel.TrimFrom != 0 { // its own rule for panels of all sizes: what was said of small ones does not hold for it
		inherited = inherited.without("panel", "small")
	}
	out.params = params.over(inherited, "season", "title", "extends", "valid_from", "valid_to", "sheets", "values")
	decode(c, "", params, out.params.pruned(), &s.Params, func(of *check, p *rules.Params) {
		if p.Season != c.folder.key {
			of.at(&p.Season, "is %s, but the folder is %s; they must be equal", rules.Quote(p.Season), c.folder.key)
		}
		checkSeason(of, p, parent.season)
	})

	levels := c.read(levelsFile, new(rules.LevelRules))
	out.levels = levels.over(parent.levels)
	if laid := out.levels.laid().pruned(); laid != nil {
		s.Levels = new(rules.LevelRules)
		decode(c, "levels", levels, laid, s.Levels, checkLevels)
	}
	content := c.read(contentFile, new(rules.ContentRules))
	out.content = content.over(parent.content)
	if layouts := out.content.likened().pruned(); layouts != nil {
		s.Content = new(rules.ContentRules)
		decode(c, "program", content, layouts, s.Content, checkContent)
	}
	if len(c.faults) == 0 {
		resolve(s)
	}
	for _, d := range rules.Disciplines {
		c.valueTable(d)
	}
	slices.SortStableFunc(s.Rules, func(a, b rules.Rule) int { return strings.Compare(fileOrder(a.Key), fileOrder(b.Key)) })
	below := ""
	if parent.season != nil {
		below = parent.season.Revision
	}
	s.Revision, s.Files = c.folder.revision(below), c.files()
	return out
}

// fileOrder puts the rules of season.yaml first, then those of levels.yaml.
func fileOrder(key string) string {
	first, _, _ := strings.Cut(key, ".")
	if first == "levels" || first == "program" {
		return first
	}
	return ""
}

// extended finds and compiles the season that this one extends, if any. It
// returns false where this season cannot be made: what it lies over is not known
// or has faults, which are reported there.
func (c *compiler) extended(own *rules.Params, params *Node, chain []string) bool {
	key := own.Extends
	if key == "" {
		return true
	}
	name, line := c.file(paramsFile), params.line("extends")
	if slices.Contains(chain, key) {
		c.fault(name, line, "extends: %s extends itself in a circle", key)
		return false
	}
	if c.catalog.folders[key] == nil {
		others := slices.DeleteFunc(rules.SortedKeys(c.catalog.folders), func(k string) bool { return slices.Contains(chain, k) })
		slices.Reverse(others) // of equally near keys the newest is meant
		c.fault(name, line, "extends: there is no season %s; %s", rules.Quote(key), rules.Meant(key, others))
		key = rules.Nearest(key, others) // so that the other faults are found as well
	}
	folder := c.catalog.folders[key]
	if folder == nil {
		return false
	}
	c.parent = c.catalog.compile(folder, chain)
	return c.parent.season != nil
}

// readOthers finds what is wrong in the other files of a season whose parameters
// cannot be used: what does not fit in its YAML, and rows that cannot be read on
// the widest scale of GOE.
func (c *compiler) readOthers() {
	c.read(levelsFile, new(rules.LevelRules))
	c.read(contentFile, new(rules.ContentRules))
	c.season = new(rules.Season)
	for _, d := range rules.Disciplines {
		if data, ok := c.folder.files[valuesFile(d)]; ok {
			c.parseValues(d, data(), nil)
		}
	}
}

// read reads one YAML file and lays it beside the type that it is read into, so
// that unknown keys and wrong types are reported with the file's own lines. It
// returns nil when there is no such file or it cannot be used.
func (c *compiler) read(file string, into any) *Node {
	data, ok := c.folder.files[file]
	if !ok {
		return nil
	}
	root, fault := ParseYAML(c.file(file), data())
	if fault != nil {
		c.faults = append(c.faults, *fault)
		return nil
	}
	root.state(c.layer())
	if root.null && file != paramsFile {
		return nil // nothing is stated yet
	}
	d := &decoder{kept: c.folder.kept, misfit: map[*Node]bool{}}
	d.read(root, into)
	if !d.misfit[root] && !d.kept {
		d.sourced(root)
	}
	c.faults = append(c.faults, d.faults...)
	maps.Copy(c.misfit, d.misfit)
	if d.misfit[root] {
		return nil
	}
	return root
}

// layer counts the seasons below this one.
func (c *compiler) layer() int {
	if c.parent == nil {
		return 0
	}
	return c.parent.layer + 1
}

// sourced reports the first value of a file for which nothing in the file says
// where it comes from: it would be known by nothing.
func (d *decoder) sourced(n *Node) bool {
	if n.kind == scalar && n.cite.Source == "" && !n.null {
		d.fault(place{path: sourceKey, file: n.File, line: 1}, "is missing: name the published text (or say that it is your own rule)")
		return false
	}
	for _, k := range n.Keys {
		if !ofProvenance(k.Name) && !d.sourced(k.Value) {
			return false
		}
	}
	for _, item := range n.Items {
		if !d.sourced(item) {
			return false
		}
	}
	return true
}

// decode fills a struct from a merged tree, adds its rules to the season's and lets
// do check it. What does not fit in the season's own files is reported already. Only
// a table with a fault needs to know where everything stands, so that is found out
// once a check has found one.
func decode[T any](c *compiler, prefix string, own, root *Node, into *T, do func(*check, *T)) {
	d := &decoder{prefix: prefix, misfit: c.misfit, clauses: map[string]stated{}}
	d.read(root, into)
	c.rules(d, "", root, root.File, root.Line)
	quick := &check{compiler: c, own: own}
	if do(quick, into); !quick.wrong {
		return
	}
	d.places = map[any]place{}
	*into = *new(T)
	d.read(root, into)
	do(&check{compiler: c, places: d.places, own: own}, into)
}

// rules lists what a tree states: every leaf, the scalars of a list as one, and
// before its leaves each mapping that is a rule. file and line are those of the key
// of the tree.
func (c *compiler) rules(d *decoder, p string, n *Node, file string, line int) {
	key := d.key(p)
	rule, isRule := d.clauses[p]
	leaf := func(value string) {
		c.season.Rules = append(c.season.Rules, rules.Rule{Key: key, Title: rule.title, Value: value, File: file, Line: line, Cite: n.cite})
	}
	switch n.kind {
	case mapping:
		if isRule {
			whole := rules.Rule{Key: key, Title: rule.title, File: file, Line: line, Cite: rule.cite}
			if rule.file != "" && rule.file != file { // it is known by a value of another file
				whole.File, whole.Line = rule.file, rule.line
			}
			c.season.Rules = append(c.season.Rules, whole)
		}
		for _, k := range n.Keys {
			if !ofProvenance(k.Name) {
				c.rules(d, join(p, k.Name), k.Value, k.File, k.Line)
			}
		}
	case list:
		var scalars []string
		for i, item := range n.Items {
			if item.kind == scalar {
				scalars = append(scalars, item.Text)
			} else {
				c.rules(d, fmt.Sprintf("%s[%d]", p, i), item, item.File, item.Line)
			}
		}
		if len(scalars) > 0 {
			leaf(strings.Join(scalars, ", "))
		}
	default:
		leaf(n.Text)
	}
}

// revision hashes everything the season rests on: its own files and, by its revision,
// the season below it.
func (f *folder) revision(below string) string {
	h := sha256.New()
	h.Write([]byte(below))
	for _, name := range tableFiles {
		if data, ok := f.files[name]; ok {
			fmt.Fprintf(h, "\n%s %d\n", name, len(data()))
			h.Write(data())
		}
	}
	return "sha256:" + hex.EncodeToString(h.Sum(nil))
}

func (c *compiler) files() map[string][]byte {
	all := map[string][]byte{}
	if c.parent != nil {
		maps.Copy(all, c.parent.season.Files)
	}
	for name, data := range c.folder.files {
		all[path.Join(c.folder.key, name)] = data()
	}
	return all
}
