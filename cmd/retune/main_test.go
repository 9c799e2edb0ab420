package main

import (
	"strings"
	"testing"

	"stopledger/analyze/detect"
	"stopledger/analyze/detect/pose"
)

// TestNumbers: every number is found by its name, and is as it was after it was varied.
func TestNumbers(t *testing.T) {
	params := detect.DefaultParams()
	all := numbersOf(&params, "")
	seen := map[string]bool{}
	for _, n := range all {
		if seen[n.name] {
			t.Errorf("%s twice", n.name)
		}
		seen[n.name] = true
		n.vary(&strings.Builder{}, []float64{0.5, 2}, func() score {
			return score{&pose.Tally{}, &pose.Tally{},
				&pose.Tally{}}
		})
	}
	for _, name := range []string{"Flat.LeastSteep", "Worth.Share.Full", "Refine.Steps[2]",
		"Neutrals.UnevenPatches", "Search.Loose.Sigmas"} {
		if !seen[name] {
			t.Errorf("no %s among %d numbers", name, len(all))
		}
	}
	if params != detect.DefaultParams() {
		t.Error("the numbers did not come back")
	}
}

// TestRetune: a limit that nothing meets finds nothing, and the one in use finds the chart and the
// card and nothing else.
func TestRetune(t *testing.T) {
	if testing.Short() {
		t.Skip("renders whole frames")
	}
	var out strings.Builder
	if err := run([]string{"-param", "chart.leastexplained", "-factors", "1,2", "-n", "1", "-first", "40001"},
		&out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"as it is: charts 1/0  cards 1/0  false 0", "Chart.LeastExplained = 0.72",
		"x 1     the same", "charts 0/0  cards 1/0  false 0"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q in\n%s", want, out.String())
		}
	}
}

// TestRefuses: what cannot be done is said.
func TestRefuses(t *testing.T) {
	for _, args := range [][]string{{"-param", "Nothing"}, {"-factors", "1,x"}, {"-n", "0"}} {
		if err := run(args, &strings.Builder{}); err == nil {
			t.Errorf("%v is taken", args)
		}
	}
}
