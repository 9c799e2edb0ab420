package main

import (
	"io"

	"stopledger/cmd/internal/audit"
)

// version is what --version and every document say; a release sets it with
// -ldflags "-X main.version=1.2".
var version = "0.1-dev"

// An app is the program with everything it touches.
type app struct {
	measure        audit.Measurer
	version        string
	stdout, stderr io.Writer
}
