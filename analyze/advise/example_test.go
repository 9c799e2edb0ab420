package advise_test

import (
	"fmt"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
	"stopledger/curve"
)

// Grey on a card 1.65 stops over nominal, and a window that clips.
func ExampleAdvise() {
	slog3, err := curve.Find("S-Log3")
	if err != nil {
		fmt.Println(err)
		return
	}
	r := curve.Reading{Curve: slog3, Range: curve.Narrow, Bits: 10}
	none := curve.Unknown[curve.Stops]()
	a := advise.Advise(advise.Facts{
		Placement: &placement.Placement{Stops: 1.65, Low: 1.62, High: 1.68, Method: placement.Card, Percent: 55,
			Reflectance: 0.18},
		Noise: &noise.Result{Coding: noise.Coding{Origin: noise.Lossless}, Model: &noise.Model{Read: 0.0004, Shot: 0.0001}},
		Clipping: &clipping.Result{
			Ceiling: clipping.Ceiling{Level: r.Level(r.CodeOf(curve.Stops(3.8).Light())), Recorded: 3.8,
				Origin: clipping.Measured},
			Headroom: none,
			Clipped:  clipping.Shares{R: 0.04, G: 0.04, B: 0.04, Any: 0.04, All: 0.04},
			Areas:    []clipping.Area{{Share: 0.04, Kind: clipping.Field}},
		},
		Variation: variation.Result{Drift: none, Step: none, Flicker: none},
		Patches:   none,
		Reading:   r,
	})
	fmt.Println(strings.NewReplacer(". ", ".\n", "; ", ";\n").Replace(a.Summary))
	for _, f := range a.Findings {
		fmt.Println(f.Level, f.ID)
	}
	fmt.Println(a.Next.Text)
	// Output:
	// Grey card 1.65 stops over (55.0 %).
	// Pull 1.65 stops before the display transform;
	// signal-to-noise 4 stops under grey is then 25 dB, 5 dB better than exposed at nominal.
	// A large area (sky, window) is clipped: 4.0 % of the frame, and shows as a flat 89 % after the pull.
	// note grey-over
	// caution field-clipped
	// caution grey-ceiling
	// note noise-visible
	// Close down 1.6 stops: a large area clips, and grey sits above the target. Set the zebra to 41 % on a grey card.
}

// The same scene at nominal and 1.65 stops over, by a camera whose read noise is all there is.
func ExampleCompare() {
	c := advise.Compare([]advise.Measured{takeAt("nominal.mov", 0), takeAt("over.mov", 1.65)})
	for _, f := range c.Takes[1].Figures[:2] {
		d := f.Difference
		fmt.Printf("%s: %+.2f %s, from %+.2f to %+.2f\n", f.Name, d.Value, f.Unit, d.Low, d.High)
	}
	fmt.Println(c.Recommendation.Reason)
	// Output:
	// placement: +1.65 stops, from +1.61 to +1.69
	// snr: +9.93 dB, from +9.43 to +10.43
	// Use B (over.mov): it is 10 dB cleaner 4 stops under grey and loses nothing to the ceiling.
}

// takeAt is a take with grey on a card so many stops over nominal.
func takeAt(path string, stops curve.Stops) advise.Measured {
	return advise.Measured{
		Path:      path,
		Placement: &placement.Placement{Stops: stops, Low: stops - 0.03, High: stops + 0.03, Method: placement.Card},
		Noise: &noise.Result{Floor: -8.5, Coding: noise.Coding{Origin: noise.Lossless},
			Model: &noise.Model{Read: 0.0005, ReadError: 0.000005}},
		Clipping: &clipping.Result{Headroom: 3 - stops, Ceiling: clipping.Ceiling{Recorded: 6}},
	}
}
