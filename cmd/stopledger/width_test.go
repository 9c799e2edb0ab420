package main

import (
	"bytes"
	"context"
	"regexp"
	"strings"
	"testing"

	"stopledger/report/text"
)

// copied are commands and files, which are copied as they are.
var copied = regexp.MustCompile(`^(  stopledger |    [^ ])`)

// TestHelpFitsItsWidth: every verb's help and every page of words, in the columns that COLUMNS names.
func TestHelpFitsItsWidth(t *testing.T) {
	asked := [][]string{{"help"}, {"help", "json"}}
	for _, v := range commands() {
		asked = append(asked, []string{"help", v.name})
	}
	for _, topic := range []string{"exposing", "page", "noise", "handover", "cards"} {
		asked = append(asked, []string{"help", topic})
	}
	for _, width := range []int{80, 100} {
		t.Setenv("COLUMNS", strings.TrimSpace(text.Number(float64(width), 0, "")))
		for _, args := range asked {
			var out, errs bytes.Buffer
			if code := (app{stdout: &out, stderr: &errs}).run(context.Background(), args); code != exitMeasured {
				t.Fatalf("%v ends with %d: %s", args, code, errs.String())
			}
			for line := range strings.Lines(out.String()) {
				if strings.HasPrefix(line, "  stopledger ") || copied.MatchString(line) {
					continue
				}
				if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > width {
					t.Errorf("%v at %d columns has %d: %s", args, width, n, line)
				}
			}
		}
	}
}
