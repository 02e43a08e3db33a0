package program_test

import (
	"testing"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/seasons"
)

func load(t testing.TB) *rules.Catalog {
	t.Helper()
	catalog, err := rules.Load(rules.Layer{Name: "seasons", FS: seasons.FS})
	if err != nil {
		t.Fatal(err)
	}
	return catalog
}
