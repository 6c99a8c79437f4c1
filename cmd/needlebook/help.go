package main

import (
	"fmt"
	"regexp"
	"strings"

	"github.com/spf13/cobra"
)

// valueWords are our words for the library's types of a flag's value.
var valueWords = map[string]string{"string": "TEXT", "stringArray": "TEXT", "strings": "TEXT", "float": "N",
	"duration": "TIME"}

var flagType = regexp.MustCompile(`(?m)^( *(?:-\w, )? *--[a-z-]+ )(string|stringArray|strings|float|duration)( +)`)

// plainValues are the usages of flags with our words for their values, each line as long as it was.
func plainValues(usages string) string {
	return flagType.ReplaceAllStringFunc(usages, func(line string) string {
		m := flagType.FindStringSubmatch(line)
		return m[1] + valueWords[m[2]] + strings.Repeat(" ", max(0, len(m[2])-len(valueWords[m[2]]))) + m[3]
	})
}

// usage is how a verb is called: by code and not by a template, which would keep half of the libraries in the program
// (see package hypertext).
func usage(c *cobra.Command) error {
	var b strings.Builder
	b.WriteString("Usage:")
	if c.Runnable() {
		b.WriteString("\n  " + c.UseLine())
	}
	if c.HasAvailableSubCommands() {
		b.WriteString("\n  " + c.CommandPath() + " VERB")
	}
	if c.HasExample() {
		b.WriteString("\n\nExamples:\n" + c.Example)
	}
	listed := func(title, group string) {
		b.WriteString("\n\n" + title)
		for _, x := range c.Commands() {
			if x.GroupID == group && (x.IsAvailableCommand() || x.Name() == "help") {
				fmt.Fprintf(&b, "\n  %-*s %s", x.NamePadding(), x.Name(), x.Short)
			}
		}
	}
	for _, g := range c.Groups() {
		listed(g.Title, g.ID)
	}
	if c.HasAvailableSubCommands() && len(c.Groups()) == 0 {
		listed("Verbs:", "")
	}
	if c.HasAvailableLocalFlags() {
		b.WriteString("\n\nFlags:\n" + strings.TrimRight(plainValues(c.LocalFlags().FlagUsages()), "\n "))
	}
	if c.HasAvailableInheritedFlags() {
		b.WriteString("\n\nFlags of every verb:\n" + strings.TrimRight(plainValues(c.InheritedFlags().FlagUsages()), "\n "))
	}
	if c.HasAvailableSubCommands() {
		b.WriteString("\n\n" + c.CommandPath() + " VERB --help says more about a verb.")
	}
	_, err := fmt.Fprintln(c.OutOrStdout(), b.String())
	return err
}

// layOutHelp gives the help of the program and of every verb its words and its order: what comes before this logbook
// is said once, at the end of the program's own.
func layOutHelp(root *cobra.Command) {
	root.SetUsageFunc(usage)
	whole := root.HelpFunc()
	root.SetHelpFunc(func(c *cobra.Command, args []string) {
		whole(c, args)
		if !c.HasParent() {
			fmt.Fprintf(c.OutOrStdout(), "\n%s\n", deferralLine)
		}
	})
	root.InitDefaultCompletionCmd()
	for _, c := range root.Commands() {
		if c.Name() == "completion" {
			c.Short = "Print what a shell needs to complete verbs, cylinders, serials and dates"
			c.Long = c.Short + `.
How to load it is said for each shell: needlebook completion bash --help.`
		}
	}
}

// help is cobra's own help, but a verb that there is not is a wrong use.
func help() *cobra.Command {
	return &cobra.Command{
		Use:   "help [VERB…]",
		Short: "Help about any verb; help words is the glossary, help deferral a form to fill",
		Example: "  needlebook help enter\n  needlebook help mailbag pack\n" +
			"  needlebook help deferral\n  needlebook help words",
		RunE: func(cmd *cobra.Command, args []string) error {
			verb, rest, err := cmd.Root().Find(args)
			if err != nil {
				return err
			}
			if len(rest) > 0 {
				return noVerb(verb, strings.Join(rest, " "))
			}
			return verb.Help()
		},
	}
}
