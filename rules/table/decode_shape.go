package table

import (
	"reflect"
	"slices"
	"strings"
	"sync"

	"github.com/rinktally/rinktally/rules"
)

// shape is what the decoder needs to know of a struct type.
type shape struct {
	fields []fieldShape
	byName map[string]int
	cited  bool  // a mapping of this type may state its provenance
	cite   []int // index of an embedded rules.Cite, or nil
	clause []int // index of an embedded rules.Clause, or nil
	lists  []fieldShape
}

type fieldShape struct {
	name          string
	index         []int
	about, of, in string
	group         string
}

func (s *shape) names() []string {
	var names []string
	if s.cited {
		names = append(names, sourceKey, confidenceKey, noteKey)
	}
	for _, f := range s.fields {
		names = append(names, f.name)
	}
	return names
}

var (
	citeType   = reflect.TypeFor[rules.Cite]()
	clauseType = reflect.TypeFor[rules.Clause]()
	shapes     sync.Map // reflect.Type to *shape
)

// shapeOf reads the tags of a struct type, once.
func shapeOf(t reflect.Type) *shape {
	if known, ok := shapes.Load(t); ok {
		return known.(*shape)
	}
	s := &shape{byName: map[string]int{}}
	if t == clauseType { // a rule of its own that has no values
		s.clause = []int{}
	}
	s.collect(t, nil)
	known, _ := shapes.LoadOrStore(t, s)
	return known.(*shape)
}

func (s *shape) collect(t reflect.Type, index []int) {
	for i := range t.NumField() {
		field := t.Field(i)
		name, options, _ := strings.Cut(field.Tag.Get("yaml"), ",")
		f := fieldShape{
			name: name, index: append(slices.Clone(index), i),
			about: field.Tag.Get("about"), of: field.Tag.Get("of"), in: field.Tag.Get("in"), group: field.Tag.Get("group"),
		}
		switch {
		case field.Type == citeType:
			s.cited, s.cite = true, f.index
		case field.Type == clauseType && field.Anonymous:
			s.cited, s.clause = true, f.index
		case field.Tag.Get("whole") != "":
			f.name = field.Tag.Get("whole")
			s.lists = append(s.lists, f)
		case options == "inline":
			s.collect(field.Type, f.index)
		case name != "-" && name != "":
			s.byName[name] = len(s.fields)
			s.fields = append(s.fields, f)
		}
	}
}
