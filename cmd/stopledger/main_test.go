package main

import (
	"os"
	"testing"

	"stopledger/cmd/internal/audit"
)

// The test binary is its own worker, as the program is.
func TestMain(m *testing.M) {
	if len(os.Args) == 2 && os.Args[1] == workerVerb {
		os.Exit(audit.Work(os.Stdin, os.Stdout))
	}
	os.Exit(m.Run())
}
