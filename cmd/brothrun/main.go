// Command brothrun plans a batch of broth from bones to shelf: how much the pot
// gives, which jars and canner loads, when each step falls, and the run as a
// calendar file.
//
// Exit status: 0 done; 1 could not do it; 2 bad input or usage; 3 refused for
// safety, with everything but the refused part still printed.
package main

import (
	"os"
	_ "time/tzdata" // so that zones are known on a machine without a zone database
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }
