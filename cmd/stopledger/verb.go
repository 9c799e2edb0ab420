package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"stopledger/cmd/internal/spelling"
	"stopledger/decode/metadata"
)

// A verb is one command.
type verb struct {
	name    string
	summary string // one line
	run     func(a app, ctx context.Context, args []string) error
}

// verbs are commands in the order in which help shows them.
type verbs []verb

func (all verbs) names() []string {
	var names []string
	for _, v := range all {
		names = append(names, v.name)
	}
	return names
}

// find returns the verb of a name; the error for a name that is none offers the nearest.
func (all verbs) find(name string) (verb, error) {
	if i := slices.Index(all.names(), name); i >= 0 {
		return all[i], nil
	}
	kind := "command"
	if strings.HasPrefix(name, "-") {
		kind = "flag"
	}
	words := fmt.Sprintf("there is no %s %s", kind, metadata.Printable(name))
	if near := spelling.Nearest(name, append(all.names(), "help", "--version", "--help")); near != "" {
		words += "; did you mean " + near + "?"
	}
	return verb{}, &usageError{text: words}
}
