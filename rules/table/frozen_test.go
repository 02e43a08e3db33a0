package table_test

import (
	"bytes"
	"errors"
	"reflect"
	"testing"

	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// frozen is the embedded catalog, and the same one frozen and thawed.
func frozen(t testing.TB) (whole, thawed *table.Catalog) {
	t.Helper()
	whole, err := table.Load(table.Layer{Name: "embedded", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	thawed, err = table.Thaw(table.FreezeHeadings(whole.Headings()), func(key string) ([]byte, error) {
		s, err := whole.Season(key)
		if err != nil {
			t.Fatal(err)
		}
		return table.Freeze(s), nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return whole, thawed
}

// A frozen season is the season: every value with its file, line, source, confidence
// and warning, and the revision of the files that it was made from.
func TestFrozenSeasonsAreTheSeasons(t *testing.T) {
	whole, thawed := frozen(t)
	if !reflect.DeepEqual(thawed.Headings(), whole.Headings()) {
		t.Errorf("the headings are %v", thawed.Headings())
	}
	if n := len(whole.Seasons()); n != len(whole.Headings()) {
		t.Errorf("%d seasons have %d headings", n, len(whole.Headings()))
	}
	for i, s := range whole.Seasons() {
		if h := whole.Headings()[i]; !reflect.DeepEqual(h, s.Heading()) {
			t.Errorf("the parameters of %s say %v, the season %v", s.Params.Season, h, s.Heading())
		}
		got, err := thawed.Season(s.Params.Season)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(table.Freeze(s), table.Freeze(s)) {
			t.Errorf("%s is frozen differently the second time", s.Params.Season)
		}
		want := *s
		want.Files = nil
		if !reflect.DeepEqual(got, &want) {
			t.Errorf("%s is another season after it was frozen", s.Params.Season)
		}
		for d, table := range want.Tables {
			for _, code := range table.Codes() {
				if a, b := table.Rows(code), got.Tables[d].Rows(code); !reflect.DeepEqual(a, b) {
					t.Fatalf("%s %s: %+v, want %+v", s.Params.Season, code, *b[0], *a[0])
				}
			}
		}
	}
	a, b := whole.Current("2017-02-01")
	c, d := thawed.Current("2017-02-01")
	if !reflect.DeepEqual(a, c) || b != nil || d != nil {
		t.Errorf("current is %v, %v", c, d)
	}
	_, want := whole.Season("1998-99")
	if _, err := thawed.Season("1998-99"); err == nil || err.Error() != want.Error() {
		t.Errorf("an unknown season: %v", err)
	}
}

// Bytes of another version, or cut short, are refused wherever they end; a season
// that could not be loaded is loaded when it is asked for again.
func TestThawRefuses(t *testing.T) {
	whole, _ := frozen(t)
	s, err := whole.Season("2025-26")
	if err != nil {
		t.Fatal(err)
	}
	headings, data := table.FreezeHeadings(whole.Headings()), table.Freeze(s)
	for n := range len(headings) {
		if _, err := table.Thaw(headings[:n], nil); err == nil {
			t.Fatalf("%d of %d bytes are taken", n, len(headings))
		}
	}
	away := errors.New("no network")
	var answer []byte
	loads := 0
	c, err := table.Thaw(headings, func(string) ([]byte, error) {
		loads++
		if answer == nil {
			return nil, away
		}
		return answer, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Season("2025-26"); !errors.Is(err, away) {
		t.Errorf("%v", err)
	}
	for _, answer = range [][]byte{headings, data[:len(data)/2], append(bytes.Clone(data), 0), bytes.Repeat([]byte{0xff}, 100)} {
		if _, err := c.Season("2025-26"); err == nil {
			t.Errorf("%d bytes are taken", len(answer))
		}
	}
	answer = data
	for range 2 {
		if _, err := c.Season("2025-26"); err != nil {
			t.Error(err)
		}
	}
	if loads != 6 {
		t.Errorf("loaded %d times", loads)
	}
}

func BenchmarkThaw(b *testing.B) {
	whole, _ := frozen(b)
	s, err := whole.Season("2025-26")
	if err != nil {
		b.Fatal(err)
	}
	headings, data := table.FreezeHeadings(whole.Headings()), table.Freeze(s)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		c, err := table.Thaw(headings, func(string) ([]byte, error) { return data, nil })
		if err == nil {
			_, err = c.Season("2025-26")
		}
		if err != nil {
			b.Fatal(err)
		}
	}
}
