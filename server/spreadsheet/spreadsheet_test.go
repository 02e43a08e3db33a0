package spreadsheet_test

import (
	"testing"

	"github.com/rinktally/rinktally/server/spreadsheet"
)

func TestText(t *testing.T) {
	for text, want := range map[string]string{
		"": "", "3Lz": "3Lz", "a=1": "a=1", "=1+1": "'=1+1", "\t @SUM": "'\t @SUM", "+3T": "'+3T", "-1": "'-1", "＝1": "'＝1", "\xff=": "\xff=", `"=1`: `'"=1`,
	} {
		if got := spreadsheet.Text(text); got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
	}
}
