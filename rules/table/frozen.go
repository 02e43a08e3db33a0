package table

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/rinktally/rinktally/rules"
)

// A frozen season is a compiled season in bytes: flat, without those that it extends,
// and without the texts of its files. Reading it takes a tenth of the time of
// compiling it, and little code. It is made for and read by the same version of the
// program: the first bytes are a fingerprint of the types that it holds.

// errFrozen says why bytes are no frozen season.
var errFrozen = errors.New("the tables were not frozen by this version of the program, or are cut short")

// Freeze writes a season. Equal seasons are equal bytes.
func Freeze(s *rules.Season) []byte {
	bare := *s
	bare.Files = nil
	return freeze(&bare)
}

// FreezeHeadings writes the headings of a catalog, which Thaw needs.
func FreezeHeadings(list []rules.Heading) []byte { return freeze(&list) }

// Thaw returns the catalog of frozen seasons: those of the headings, each loaded by
// its key when it is first asked for. Nothing can be laid over it, since seasons that
// extend others need the files of those. An error of load is not kept.
func Thaw(headings []byte, load func(key string) ([]byte, error)) (*Catalog, error) {
	var list []rules.Heading
	if err := thaw(headings, &list); err != nil {
		return nil, err
	}
	var all []*listed
	c := &Catalog{folders: map[string]*folder{}, listed: func() []*listed { return all }, headings: func() []rules.Heading { return list }}
	for _, h := range list {
		all = append(all, &listed{Heading: h})
		c.folders[h.Season] = &folder{key: h.Season, load: load}
	}
	return c, nil
}

func (f *folder) thaw() (*compiled, error) {
	data, err := f.load(f.key)
	if err != nil {
		return nil, err
	}
	s := new(rules.Season)
	if err := thaw(data, s); err != nil {
		return nil, fmt.Errorf("season %s: %w", f.key, err)
	}
	done := &compiled{season: s}
	f.result.Store(done)
	return done, nil
}

func freeze(from any) []byte {
	v := reflect.ValueOf(from).Elem()
	f := freezer{known: map[string]uint64{}}
	mark := fingerprint(v.Type())
	f.out.Write(mark[:])
	f.value(v, layouts{}.of(v.Type()))
	return f.out.Bytes()
}

func thaw(data []byte, into any) (err error) {
	v := reflect.ValueOf(into).Elem()
	mark := fingerprint(v.Type())
	rest, ok := bytes.CutPrefix(data, mark[:])
	if !ok {
		return errFrozen
	}
	defer func() { // what is cut short ends in a place where nothing may end
		if p := recover(); p != nil {
			err = errFrozen
		}
	}()
	t := thawer{rest: rest}
	t.value(v, layouts{}.of(v.Type()))
	if len(t.rest) > 0 {
		return errFrozen
	}
	return nil
}

// fingerprint is that of everything that is written of a type.
func fingerprint(t reflect.Type) [8]byte {
	var text strings.Builder
	describe(&text, t, map[reflect.Type]bool{})
	sum := sha256.Sum256([]byte(text.String()))
	return [8]byte(sum[:8])
}

func describe(text *strings.Builder, t reflect.Type, seen map[reflect.Type]bool) {
	text.WriteString(t.String() + " " + t.Kind().String() + ";")
	if seen[t] {
		return
	}
	seen[t] = true
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice:
		describe(text, t.Elem(), seen)
	case reflect.Map:
		describe(text, t.Key(), seen)
		describe(text, t.Elem(), seen)
	case reflect.Struct:
		for i := range t.NumField() {
			if field := t.Field(i); field.IsExported() {
				text.WriteString(field.Name + " ")
				describe(text, field.Type, seen)
			}
		}
		if t == valueTable {
			describe(text, reflect.TypeFor[rules.Value](), seen)
		}
	default:
	}
}

// layout is what a type is made of. Asking reflect for it takes longer than reading a
// value, so that each type is asked once.
type layout struct {
	is        reflect.Type
	kind      reflect.Kind
	key, elem *layout // nil where it has none
	fields    []part  // of a struct: the exported ones
}

type part struct {
	index int
	*layout
}

// layouts are those of a type and of all that it holds, by type.
type layouts map[reflect.Type]*layout

func (all layouts) of(t reflect.Type) *layout {
	if known := all[t]; known != nil {
		return known
	}
	s := &layout{is: t, kind: t.Kind()}
	all[t] = s
	switch s.kind {
	case reflect.Map:
		s.key, s.elem = all.of(t.Key()), all.of(t.Elem())
	case reflect.Pointer, reflect.Slice:
		s.elem = all.of(t.Elem())
	case reflect.Struct:
		for i := range t.NumField() {
			if field := t.Field(i); field.IsExported() {
				s.fields = append(s.fields, part{i, all.of(field.Type)})
			}
		}
		if t == valueTable {
			s.elem = all.of(reflect.TypeFor[[]*rules.Value]()) // its rows
		}
	default:
	}
	return s
}

// Types of which more is written than their exported fields.
var (
	valueTable = reflect.TypeFor[rules.ValueTable]()
	valueRow   = reflect.TypeFor[rules.Value]()
)

// freezer writes values one behind the other: numbers as varints, each text once and
// then by its number, and what can be nil after how much there is of it, plus one.
type freezer struct {
	out   bytes.Buffer
	known map[string]uint64 // numbers of the texts
}

func (f *freezer) number(n uint64) {
	f.out.Write(binary.AppendUvarint(f.out.AvailableBuffer(), n))
}

func (f *freezer) signed(n int64) {
	f.out.Write(binary.AppendVarint(f.out.AvailableBuffer(), n))
}

func (f *freezer) text(s string) {
	n, ok := f.known[s]
	if ok {
		f.number(n)
		return
	}
	f.number(uint64(len(f.known)))
	f.known[s] = uint64(len(f.known))
	f.number(uint64(len(s)))
	f.out.WriteString(s)
}

func (f *freezer) value(v reflect.Value, s *layout) {
	switch s.kind {
	case reflect.Bool:
		n := uint64(0)
		if v.Bool() {
			n = 1
		}
		f.number(n)
	case reflect.Int, reflect.Int64:
		f.signed(v.Int())
	case reflect.String:
		f.text(v.String())
	case reflect.Pointer:
		if v.IsNil() {
			f.number(0)
			return
		}
		f.number(1)
		f.value(v.Elem(), s.elem)
	case reflect.Slice:
		if v.IsNil() {
			f.number(0)
			return
		}
		f.number(uint64(v.Len()) + 1)
		for i := range v.Len() {
			f.value(v.Index(i), s.elem)
		}
	case reflect.Map:
		if v.IsNil() {
			f.number(0)
			return
		}
		f.number(uint64(v.Len()) + 1)
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, key := range keys {
			f.value(key, s.key)
			f.value(v.MapIndex(key), s.elem)
		}
	case reflect.Struct:
		for _, field := range s.fields {
			f.value(v.Field(field.index), field.layout)
		}
		switch s.is { // both are always pointed at
		case valueTable:
			f.rows(v.Addr().Interface().(*rules.ValueTable), s.elem)
		case valueRow:
			f.grades(v.Addr().Interface().(*rules.Value))
		}
	default:
		panic(fmt.Sprintf("a season holds a %s, which cannot be frozen", s.is))
	}
}

// rows writes the rows of a table, in the order of their codes.
func (f *freezer) rows(t *rules.ValueTable, s *layout) {
	var all []*rules.Value
	for _, code := range t.Codes() {
		all = append(all, t.Rows(code)...)
	}
	f.value(reflect.ValueOf(all), s)
}

// grades writes the points of each mark that the row has, behind what is known of it.
func (f *freezer) grades(v *rules.Value) {
	f.signed(int64(v.Lowest()))
	for mark := v.Lowest(); mark < v.Lowest()+rules.Marks; mark++ {
		points, known, inferred := v.GOE(mark)
		switch {
		case mark == 0 || !known:
			f.number(unknownGrade)
			continue
		case inferred:
			f.number(inferredGrade)
		default:
			f.number(knownGrade)
		}
		f.signed(int64(points))
	}
}

// What is known of a grade.
const (
	unknownGrade = iota
	knownGrade
	inferredGrade
)

// thawer reads what a freezer has written. It panics where that ends too early.
type thawer struct {
	rest  []byte
	texts []string
}

func (t *thawer) number() uint64 {
	n, size := binary.Uvarint(t.rest)
	t.rest = t.rest[size:]
	if size <= 0 {
		panic(errFrozen)
	}
	return n
}

func (t *thawer) signed() int64 {
	n, size := binary.Varint(t.rest)
	t.rest = t.rest[size:]
	if size <= 0 {
		panic(errFrozen)
	}
	return n
}

func (t *thawer) text() string {
	n := t.number()
	if n < uint64(len(t.texts)) {
		return t.texts[n]
	}
	size := t.number()
	s := string(t.rest[:size])
	t.rest = t.rest[size:]
	t.texts = append(t.texts, s)
	return s
}

// length reads how much there is of what can be nil; every item of a list takes a
// byte at least.
func (t *thawer) length() (n int, isNil bool) {
	switch plusOne := t.number(); {
	case plusOne == 0:
		return 0, true
	case plusOne-1 > uint64(len(t.rest)):
		panic(errFrozen)
	default:
		return int(plusOne - 1), false
	}
}

func (t *thawer) value(v reflect.Value, s *layout) {
	switch s.kind {
	case reflect.Bool:
		v.SetBool(t.number() == 1)
	case reflect.Int, reflect.Int64:
		v.SetInt(t.signed())
	case reflect.String:
		v.SetString(t.text())
	case reflect.Pointer:
		if t.number() == 1 {
			at := reflect.New(s.elem.is)
			t.value(at.Elem(), s.elem)
			v.Set(at)
		}
	case reflect.Slice:
		if n, isNil := t.length(); !isNil {
			list := reflect.MakeSlice(s.is, n, n)
			for i := range n {
				t.value(list.Index(i), s.elem)
			}
			v.Set(list)
		}
	case reflect.Map:
		n, isNil := t.length()
		if isNil {
			return
		}
		v.Set(reflect.MakeMapWithSize(s.is, n))
		for range n {
			key, value := reflect.New(s.key.is).Elem(), reflect.New(s.elem.is).Elem()
			t.value(key, s.key)
			t.value(value, s.elem)
			v.SetMapIndex(key, value)
		}
	case reflect.Struct:
		for _, field := range s.fields {
			t.value(v.Field(field.index), field.layout)
		}
		switch s.is {
		case valueTable:
			var all []*rules.Value
			t.value(reflect.ValueOf(&all).Elem(), s.elem)
			v.Addr().Interface().(*rules.ValueTable).Fill(all)
		case valueRow:
			t.grades(v.Addr().Interface().(*rules.Value))
		}
	default:
		panic(errFrozen)
	}
}

func (t *thawer) grades(v *rules.Value) {
	lowest := int(t.signed())
	v.SetLowest(lowest)
	for mark := lowest; mark < lowest+rules.Marks; mark++ {
		if known := t.number(); known != unknownGrade {
			v.SetGOE(mark, rules.Points(t.signed()), known == inferredGrade)
		}
	}
}
