package synth

import (
	"fmt"

	"stopledger/curve"
)

func fromStops(s float64) float64 { return curve.FromStops(s) }

func stopsName(s float64) string { return fmt.Sprintf("%+.4g stops", s) }

func percentName(y float64) string { return fmt.Sprintf("%.3g %%", 100*y) }
