// Package spreadsheet knows what programs that open CSV files take for a formula.
package spreadsheet

import (
	"strings"
	"unicode/utf8"
)

// formulas are the signs that begin a formula, also in their full width.
const formulas = "=+-@＝＋－＠"

// Begins returns the sign that a text begins with and that a spreadsheet takes for a
// formula; ok is false where it begins with none. Spaces and quotation marks before it
// do not matter: spreadsheets take them off.
func Begins(text string) (sign rune, ok bool) {
	sign, _ = utf8.DecodeRuneInString(strings.TrimLeft(text, " \"\t\r\n"))
	return sign, strings.ContainsRune(formulas, sign)
}

// Text returns a text as the cell of a file that a spreadsheet may open: one that would
// be taken for a formula has a ' before it, which spreadsheets show as text.
func Text(text string) string {
	if _, formula := Begins(text); formula {
		return "'" + text
	}
	return text
}
