package main

import (
	"strings"

	"github.com/spf13/cobra"

	"firstrod/engine"
)

// wrapArgs gives wrong arguments the exit code of wrong usage, and words.
func wrapArgs(cmd *cobra.Command) {
	check := cmd.Args
	if check == nil {
		check = cobra.NoArgs
	}
	cmd.Args = func(cmd *cobra.Command, args []string) error { return arguments(cmd, check, args) }
}

// arguments says which argument a verb wants, or which verb was meant, and where its
// own help is.
func arguments(cmd *cobra.Command, check cobra.PositionalArgs, args []string) error {
	err := check(cmd, args)
	if err == nil {
		return nil
	}
	e := &engine.Error{Kind: engine.Usage, Hint: "see " + cmd.CommandPath() + " --help"}
	if cmd.HasAvailableSubCommands() && len(args) > 0 {
		e.Say = "there is no verb " + args[0] + " of " + cmd.CommandPath()
		if best := engine.Nearest(args[0], verbNames(cmd)); best != "" {
			e.Hint = "did you mean " + cmd.CommandPath() + " " + best + "? " + e.Hint
		}
		return e
	}
	e.Say = cmd.CommandPath() + " takes " + taken(cmd)
	switch len(args) {
	case 0:
		e.Say += ", and it is missing"
	case 1:
		e.Say += ", and not " + args[0]
	default:
		e.Say += ", and not " + strings.Join(args[:len(args)-1], ", ") + " and " + args[len(args)-1]
	}
	return e
}

func verbNames(cmd *cobra.Command) []string {
	var all []string
	for _, sub := range cmd.Commands() {
		all = append(all, sub.Name())
	}
	return all
}

// taken is what stands behind the verb in its help: "DIR", "OLD NEW".
func taken(cmd *cobra.Command) string {
	var words []string
	for _, word := range strings.Fields(cmd.Use)[1:] {
		if strings.HasPrefix(strings.TrimLeft(word, "["), "-") {
			break
		}
		words = append(words, word)
	}
	switch len(words) {
	case 0:
		return "no arguments"
	case 1:
		if optional := strings.Trim(words[0], "[]"); optional != words[0] {
			return "at most one argument, " + optional
		}
		return "one argument, " + words[0]
	}
	return strings.Join(words, " ")
}
