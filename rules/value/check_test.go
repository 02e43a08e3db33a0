package value_test

import (
	"strings"
	"testing"

	"github.com/rinktally/rinktally/rules/seasons"
	"github.com/rinktally/rinktally/rules/table"
	"github.com/rinktally/rinktally/rules/value"
)

// Rows that no code would ever be valued by are refused when they are loaded.
func TestCheckRow(t *testing.T) {
	for row, want := range map[[2]string]string{
		{"mzj", "jump"}:   "a name of your own is letters and digits with a capital among them",
		{"WJ<", "jump"}:   "WJ cannot have a rotation sign",
		{"3Lz<!", ""}:     "is written 3Lz!<",
		{"3T+2T", ""}:     "is worth the sum of its jumps",
		{"3T+SEQ", ""}:    "more than an element's name",
		{"OneSp", "jump"}: "is not what its code says, spin",
		{"1Lz", "step"}:   "is not what its code says, jump",
	} {
		if err := value.CheckRow(row[0], row[1]); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v says %v; want: %s", row, err, want)
		}
	}
	for _, row := range [][2]string{{"WJ", "jump"}, {"WJ", ""}, {"OneSp", ""}, {"OneSp", "spin"}, {"3Lz!<", ""}, {"CCoSp4V", ""}, {"SqTwW4+SqTwM3", ""}} {
		if err := value.CheckRow(row[0], row[1]); err != nil {
			t.Errorf("%v: %v", row, err)
		}
	}
	if _, err := table.Load(table.Layer{Name: "seasons", FS: seasons.FS}); err != nil {
		t.Error(err)
	}
}
