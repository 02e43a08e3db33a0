// Command rinktally is the scoring server.
package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"
)

func main() {
	root := &cobra.Command{
		Use:           "rinktally",
		Short:         "Figure skating scored under any season's rules, over gRPC and REST",
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.AddCommand(serveCommand(), healthcheckCommand(), versionCommand(), configCommand(), rulesCommand(), eventsCommand(), practiceCommand(), tokenCommand())
	if err := root.Execute(); err != nil {
		fmt.Fprintln(os.Stderr, "rinktally: "+err.Error())
		os.Exit(1)
	}
}
