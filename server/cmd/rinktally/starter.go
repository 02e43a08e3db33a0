package main

import (
	"bytes"
	_ "embed"
	"strings"
	"text/template"

	"github.com/rinktally/rinktally/rules"
	"github.com/rinktally/rinktally/rules/table"
)

//go:embed starter.season.yaml
var starterSeason string

//go:embed starter.levels.yaml
var starterLevels string

//go:embed starter.program.yaml
var starterProgram string

//go:embed starter.cases.yaml
var starterCases string

// placeholder stands for a source that the writer of a table has to name.
const placeholder = table.Placeholder + " which text these rules come from, or that they are your own"

// decided is the source of what is known of 2026-27 before any text of it was read.
const decided = "Decided in June 2024 with effect from 2026-27, as two news agencies and the German federation reported; the text was not read"

const starterValues = `# Our own values. Name here where they come from.
# One row per element; a code that stands in {{.Base}} too replaces its value there.
# GOE columns (+5 ... -5) may be left out where the season computes the points as a
# percentage of the base value.
# kind is for a named element whose code does not tell what it is.
code,kind,base_value
# a waltz jump, as an example:
# WJ,jump,0.30
`

// starter returns the files of a new table that extends a season, by name.
func starter(key string, base *rules.Season) map[string]string {
	data := struct{ Key, Base, From, To, Placeholder, Decided string }{
		Key: key, Base: base.Params.Season, Placeholder: placeholder, Decided: decided,
	}
	if from, to, ok := seasonDates(key); ok {
		data.From, data.To = from, to
	}
	files := map[string]string{}
	for name, text := range map[string]string{
		"season.yaml": starterSeason, "levels.yaml": starterLevels, "program.yaml": starterProgram,
		"singles.csv": starterValues, "cases/values.yaml": starterCases,
	} {
		var b bytes.Buffer
		if err := template.Must(template.New(name).Parse(text)).Execute(&b, data); err != nil {
			panic(err) // the templates are embedded and tested
		}
		files[name] = b.String()
	}
	return files
}

// seasonDates returns the first and last day of a season named like 2026-27: it
// runs from 1 July to 30 June.
func seasonDates(key string) (from, to string, ok bool) {
	first, second, cut := strings.Cut(key, "-")
	if !cut || len(first) != 4 || len(second) != 2 || strings.Trim(first+second, "0123456789") != "" {
		return "", "", false
	}
	return first + "-07-01", first[:2] + second + "-06-30", true
}
