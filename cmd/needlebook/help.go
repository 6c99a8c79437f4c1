package main

import (
	"fmt"
	"regexp"
	"strings"

	"github.com/spf13/cobra"
)

// ours are the words of the help for those of the library.
var ours = strings.NewReplacer("[command]", "VERB", " for more information about a command", " says more about a verb",
	"Available Commands:", "Verbs:", "Global Flags:", "Flags of every verb:", "{{if .HasHelpSubCommands}}", "{{if false}}",
	`Use "{{.CommandPath}} VERB --help"`, "{{.CommandPath}} VERB --help", "FlagUsages | trim",
	"FlagUsages | plainValues | trim")

// valueWords are our words for the library's types of a flag's value.
var valueWords = map[string]string{"string": "TEXT", "stringArray": "TEXT", "strings": "TEXT", "float": "N",
	"duration": "TIME"}

var flagType = regexp.MustCompile(`(?m)^( *(?:-\w, )? *--[a-z-]+ )(string|stringArray|strings|float|duration)( +)`)

func init() { cobra.AddTemplateFunc("plainValues", plainValues) }

// plainValues are the usages of flags with our words for their values, each line as long as it was.
func plainValues(usages string) string {
	return flagType.ReplaceAllStringFunc(usages, func(line string) string {
		m := flagType.FindStringSubmatch(line)
		return m[1] + valueWords[m[2]] + strings.Repeat(" ", max(0, len(m[2])-len(valueWords[m[2]]))) + m[3]
	})
}

// layOutHelp gives the help of the program and of every verb its words and its order: what comes before this logbook
// is said once, at the end of the program's own.
func layOutHelp(root *cobra.Command) {
	root.SetUsageTemplate(ours.Replace(ours.Replace(root.UsageTemplate())))
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
		Use:     "help [VERB…]",
		Short:   "Help about any verb; help words is the glossary",
		Example: "  needlebook help enter\n  needlebook help mailbag pack\n  needlebook help words",
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
