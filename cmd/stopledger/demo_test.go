package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
)

func TestDemoInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var stdout, stderr bytes.Buffer
	code := run(ctx, []string{"demo", t.TempDir()}, &stdout, &stderr)
	if code != exitInterrupted || !strings.Contains(stderr.String(), "goes on from there") ||
		strings.Contains(stderr.String(), "context") {
		t.Errorf("exit code %d: %s", code, stderr.String())
	}
}
