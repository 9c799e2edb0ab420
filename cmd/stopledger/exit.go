package main

import (
	"context"
	"errors"
)

// Exit codes. Where several would fit, interrupted comes before alarm and alarm before failed: one
// bad file must not hide that a clip asks for attention.
const (
	exitMeasured    = 0   // every clip was measured
	exitBroken      = 1   // the program could not do its work: a report could not be written ...
	exitUsage       = 2   // the command line asks for something that is not there
	exitSomeFailed  = 3   // some clips could not be measured; the rest were
	exitAlarm       = 4   // with --gate: a clip broke a rule or has an alarm
	exitInterrupted = 130 // interrupted; finished clips are reported
)

// exitHelp describes the codes for the help text.
const exitHelp = `Exit codes:
    0  measured
    1  the report or the output could not be written, or another run writes the folder
    2  bad usage
    3  some clips could not be measured; the rest were
    4  with --gate: a clip has a finding at level alarm, or broke a rule (4 comes before 3)
  130  interrupted; finished clips are reported
`

var (
	errSomeFailed  = errors.New("some clips could not be measured")
	errAlarm       = errors.New("a clip has a finding at level alarm")
	errInterrupted = errors.New("interrupted")
)

// A usageError is a mistake on the command line.
type usageError struct {
	verb string // "" before a verb is known
	text string // what is wrong and what is allowed
	err  error  // cause, or nil
}

func (e *usageError) Error() string {
	command := "stopledger"
	if e.verb != "" {
		command += " " + e.verb
	}
	return command + ": " + e.text + "; see " + command + " --help"
}

func (e *usageError) Unwrap() error { return e.err }

// exitCode returns the code for what a verb returned.
func exitCode(err error) int {
	var usage *usageError
	switch {
	case err == nil:
		return exitMeasured
	case errors.As(err, &usage):
		return exitUsage
	case errors.Is(err, errInterrupted), errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.Is(err, errAlarm):
		return exitAlarm
	case errors.Is(err, errSomeFailed):
		return exitSomeFailed
	}
	return exitBroken
}

// isToldAlready reports whether the user has read of err where it arose, clip by clip.
func isToldAlready(err error) bool {
	return errors.Is(err, errSomeFailed) || errors.Is(err, errInterrupted)
}
