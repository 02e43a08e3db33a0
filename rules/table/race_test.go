package table_test

import (
	"sync"
	"testing"
	"testing/fstest"

	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// A catalog and those laid over it compile the seasons that they share from many
// goroutines at once, and all come to the same.
func TestManyGoroutines(t *testing.T) {
	base := table.Read(table.Layer{Name: "embedded", FS: seasons.FS})
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			over := base.Over(table.Layer{Name: "club", FS: fstest.MapFS{"herons/season.yaml": {Data: []byte(herons)}}})
			switch i % 4 {
			case 0:
				if err := over.CompileAdded(); err != nil {
					t.Error(err)
				}
			case 1:
				if err := base.Compile(); err != nil {
					t.Error(err)
				}
			case 2:
				if _, warning := over.Current("2025-10-01"); warning != nil {
					t.Error(warning)
				}
			case 3:
				if keys, headings := base.Keys(), base.Headings(); len(keys) != len(headings) || headings[0].Season != keys[0] {
					t.Errorf("%v and %v", keys, headings)
				}
			}
			s, err := over.Season("herons")
			if err != nil {
				t.Error(err)
				return
			}
			parent, err := base.Season("2025-26")
			if err != nil || len(s.Rules) < 1000 || s.Levels == nil || s.Table("singles").Source != parent.Table("singles").Source {
				t.Errorf("%d rules over %d: %v", len(s.Rules), len(parent.Rules), err)
			}
		})
	}
	all.Wait()
}
