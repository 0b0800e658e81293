package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"brothrun/stock/fault"
)

// flagName is a flag as it is registered: by the name of a key in a file, "finish_by",
// and by that of one rack, too.
func flagName(_ *pflag.FlagSet, name string) pflag.NormalizedName {
	if name == "rack" {
		name = "racks"
	}
	return pflag.NormalizedName(strings.ReplaceAll(name, "_", "-"))
}

// flagFault is what is wrong with a flag, and for one that there is not, which may be meant.
func flagFault(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	if errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() == "" {
		var names []string
		cmd.Flags().VisitAll(func(flag *pflag.Flag) { names = append(names, "--"+flag.Name) })
		return fault.New("", cmd.CommandPath()+" --help", "%v%s", err,
			fault.DidYouMean("--"+unknown.GetSpecifiedName(), names))
	}
	if guarded := (*fault.Fault)(nil); errors.As(err, &guarded) {
		return guarded
	}
	return fault.Of("", err, cmd.CommandPath()+" --help")
}

// guarded is a flag that is given once, and what follows it is no other flag.
type guarded struct {
	pflag.Value
	name  string
	flags *pflag.FlagSet
	given *string // before; nil: not yet
}

// several may be given more than once.
var several = map[string]bool{"pot": true}

// guard keeps those flags that say one thing from being given two.
func guard(flags *pflag.FlagSet) {
	flags.VisitAll(func(flag *pflag.Flag) {
		if _, list := flag.Value.(pflag.SliceValue); list {
			return
		}
		flag.Value = &guarded{Value: flag.Value, name: flag.Name, flags: flags}
	})
}

func (g *guarded) Set(text string) error {
	name, _, _ := strings.Cut(strings.TrimPrefix(text, "--"), "=")
	switch {
	case strings.HasPrefix(text, "--") && g.flags.Lookup(name) != nil:
		return fault.New("", fmt.Sprintf("give --%s what it needs before the next flag", g.name),
			"--%s is given nothing: %s follows it, which is a flag itself", g.name, text)
	case g.given != nil && !several[g.name] && (*g.given != text || g.Type() != yesOrNo):
		return fault.New("", "give it once", "--%s is given twice, %q and %q", g.name, *g.given, text)
	}
	g.given = &text
	return g.Value.Set(text)
}
