//go:build !js

package tables

import (
	"sync"

	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
)

// embedded are the program's own tables. They do not change, so all Tables share
// the seasons that are compiled already. The engine as WebAssembly has none in itself:
// it loads the seasons that it is asked for.
var embedded = sync.OnceValue(func() *table.Catalog {
	return table.Read(table.Layer{Name: "embedded", FS: seasons.FS})
})

// New is Over with the embedded tables as the base.
func New(clock Clock, layers ...table.Layer) (*Tables, error) {
	return Over(embedded(), clock, layers...)
}
