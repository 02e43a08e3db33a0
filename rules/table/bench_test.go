package table_test

import (
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

func BenchmarkLoadAll(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := table.Load(table.Layer{FS: seasons.FS}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLoadOne(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := table.Read(table.Layer{FS: seasons.FS}).Season("2025-26"); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkReload is the reload of a club's table over the embedded seasons, which
// are compiled already.
func BenchmarkReload(b *testing.B) {
	if _, err := embedded.Season("2025-26"); err != nil {
		b.Fatal(err)
	}
	club := table.Layer{Name: "club", FS: fstest.MapFS{
		"herons/season.yaml": {Data: []byte(herons + "values: {singles: extend}\n")},
		"herons/singles.csv": {Data: []byte("# ours\ncode,base_value\nWJ,0.30\n")},
	}}
	b.ReportAllocs()
	for b.Loop() {
		if err := embedded.Over(club).CompileAdded(); err != nil {
			b.Fatal(err)
		}
	}
}
