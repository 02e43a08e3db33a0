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

// Cell returns a text as the cell of a file that a spreadsheet may open: one that would
// be taken for a formula has a ' before it, which spreadsheets show as text.
func Cell(text string) string {
	if _, formula := Begins(text); formula {
		return "'" + text
	}
	return text
}

// Text is Cell for what anybody may have written. Where lists are parted by semicolons,
// a spreadsheet begins a cell behind each of them, so what is behind one is treated as a
// cell too.
func Text(text string) string { return each(text, Cell) }

// Plain returns what a cell that Text made stands for.
func Plain(cell string) string {
	return each(cell, func(cell string) string {
		if text, quoted := strings.CutPrefix(cell, "'"); quoted {
			if _, formula := Begins(text); formula {
				return text
			}
		}
		return cell
	})
}

// each changes what a spreadsheet may take for cells of their own.
func each(text string, change func(string) string) string {
	var out strings.Builder
	for text != "" {
		end := strings.IndexAny(text, ";；")
		if end < 0 {
			end = len(text)
		}
		out.WriteString(change(text[:end]))
		_, size := utf8.DecodeRuneInString(text[end:])
		out.WriteString(text[end : end+size])
		text = text[end+size:]
	}
	return out.String()
}
