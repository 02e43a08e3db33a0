package config

import (
	"fmt"
	"io"

	"github.com/spf13/pflag"
)

// Reference writes the page of all settings, in Markdown.
func Reference(w io.Writer, flags *pflag.FlagSet) error {
	_, err := fmt.Fprint(w, "| flag | variable | default | meaning |\n|---|---|---|---|\n")
	flags.VisitAll(func(f *pflag.Flag) {
		if err != nil || internal(f) {
			return
		}
		_, err = fmt.Fprintf(w, "| `--%s` | `%s` | `%s` | %s |\n", f.Name, Env(f.Name), f.DefValue, f.Usage)
	})
	return err
}
