// Command empty is a cobra program that does nothing: the yardstick the start of
// brothrun is measured against.
package main

import (
	"fmt"
	"os"

	"github.com/spf13/cobra"
)

func main() {
	root := &cobra.Command{Use: "empty"}
	root.AddCommand(&cobra.Command{Use: "plan",
		Run: func(cmd *cobra.Command, args []string) { fmt.Fprintln(cmd.OutOrStdout(), args) }})
	if root.Execute() != nil {
		os.Exit(1)
	}
}
