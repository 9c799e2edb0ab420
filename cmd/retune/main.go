// Command retune shows what each number of the detector is worth: it varies one or all of
// detect.Params by a few factors and looks at random charts, cards and scenes with neither, those
// that the detector's tests look at too. Run it on seeds that the numbers were not set on.
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"stopledger/analyze/detect"
)

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "retune:", err)
		os.Exit(1)
	}
}

func run(args []string, out io.Writer) error {
	flags := flag.NewFlagSet("retune", flag.ContinueOnError)
	name := flags.String("param", "", "vary the numbers whose name holds this, as Card.LeastFilled; all without it")
	factors := flags.String("factors", "0.8,0.9,1.1,1.25", "what to multiply each number by")
	n := flags.Int("n", 20, "scenes of each kind: charts, cards, neither")
	first := flags.Uint64("first", 40000, "seed of the first scene")
	if err := flags.Parse(args); err != nil {
		return err
	}
	by, err := parseFactors(*factors)
	if err != nil {
		return err
	}
	if *n < 1 {
		return fmt.Errorf("-n %d: at least one scene of each kind is needed", *n)
	}
	params := detect.DefaultParams()
	chosen := numbersOf(&params, *name)
	if len(chosen) == 0 {
		return fmt.Errorf("no number's name holds %q", *name)
	}
	scenes := newScenes(*first, *n)
	fmt.Fprintf(out, "%d charts, cards and scenes with neither each, seeds from %d: found/wrong and false\n", *n,
		*first)
	fmt.Fprintf(out, "as it is: %v\n", scenes.look(params))
	for _, number := range chosen {
		number.vary(out, by, func() score { return scenes.look(params) })
	}
	return nil
}

// parseFactors reads numbers separated by commas.
func parseFactors(list string) (by []float64, err error) {
	for _, word := range strings.Split(list, ",") {
		f, err := strconv.ParseFloat(strings.TrimSpace(word), 64)
		if err != nil {
			return nil, fmt.Errorf("-factors: %q is not a number", word)
		}
		by = append(by, f)
	}
	return by, nil
}
