package chart

import (
	"math"

	"gonum.org/v1/plot"

	"stopledger/curve"
	"stopledger/report/text"
)

// stopTicks marks every whole stop and labels every second one when there are many.
type stopTicks struct{}

// Ticks returns the ticks of an axis from low to high.
func (stopTicks) Ticks(low, high float64) []plot.Tick {
	every := 1
	if high-low > 10 {
		every = 2
	}
	var ticks []plot.Tick
	for v := int(math.Ceil(low)); v <= int(math.Floor(high)); v++ {
		label := ""
		if v%every == 0 {
			label = text.Typeset(stopLabel(v))
		}
		ticks = append(ticks, plot.Tick{Value: float64(v), Label: label})
	}
	return ticks
}

func stopLabel(v int) string {
	if v == 0 {
		return "0"
	}
	return text.Signed(float64(v), 0, "")
}

// evenTicks marks multiples of a round step, at most some eight of them.
type evenTicks struct {
	unit   string
	signed bool
}

// Ticks returns the ticks of an axis from low to high.
func (t evenTicks) Ticks(low, high float64) []plot.Tick {
	power := math.Floor(math.Log10((high - low) / 4))
	step := math.Pow(10, power)
	digits := max(0, int(-power))
	for _, n := range []float64{2, 2.5, 2} {
		if (high-low)/step > 7 {
			step *= n
		}
	}
	if _, part := math.Modf(step * math.Pow10(digits)); part > 1e-9 && part < 1-1e-9 {
		digits++ // 0.25 needs a digit more than 0.1 and 0.5
	}
	var ticks []plot.Tick
	for v := math.Ceil(low/step) * step; v <= high+step*1e-9; v += step {
		label := text.Number(v, digits, t.unit)
		if t.signed && curve.Round(v, digits) != 0 {
			label = text.Signed(v, digits, t.unit)
		}
		ticks = append(ticks, plot.Tick{Value: v, Label: text.Typeset(label)})
	}
	return ticks
}

// powerTicks labels the powers of ten of an axis whose values are logarithms to base ten.
type powerTicks struct{}

// Ticks returns the ticks of an axis from low to high.
func (powerTicks) Ticks(low, high float64) []plot.Tick {
	var ticks []plot.Tick
	for v := int(math.Ceil(low)); v <= int(math.Floor(high)); v++ {
		ticks = append(ticks, plot.Tick{Value: float64(v), Label: "10" + text.Raised(v)})
	}
	return ticks
}
