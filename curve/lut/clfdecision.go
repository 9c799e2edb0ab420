package lut

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// A decision is an ASC CDL (version 1.2): slope, offset and power of each channel, then saturation.
type decision struct {
	slope, offset, power [3]float64
	saturation           float64
	unclamped            bool // without the standard's clamps to 0..1, and no power below zero
	inverse              bool
}

// decision returns an ASC_CDL node.
func (n *clfNode) decision() (step, error) {
	d := &decision{slope: [3]float64{1, 1, 1}, power: [3]float64{1, 1, 1}, saturation: 1}
	switch n.Style {
	case "", "Fwd":
	case "Rev":
		d.inverse = true
	case "FwdNoClamp":
		d.unclamped = true
	case "RevNoClamp":
		d.unclamped, d.inverse = true, true
	default:
		return nil, errors.New("its style is none of Fwd, Rev, FwdNoClamp and RevNoClamp")
	}
	if n.SOP != nil {
		for _, said := range []struct {
			name, text string
			to         *[3]float64
		}{{"Slope", n.SOP.Slope, &d.slope}, {"Offset", n.SOP.Offset, &d.offset}, {"Power", n.SOP.Power, &d.power}} {
			v, err := numbers(strings.Fields(said.text))
			if err != nil || len(v) != 3 {
				return nil, fmt.Errorf("its %s is not three numbers", said.name)
			}
			copy(said.to[:], v)
		}
	}
	if n.Sat != nil {
		if n.Sat.Saturation == nil {
			return nil, errors.New("its SatNode has no Saturation")
		}
		d.saturation = *n.Sat.Saturation
	}
	return d, d.check()
}

func (d *decision) check() error {
	least := 0.0
	if d.inverse {
		least = math.SmallestNonzeroFloat64
	}
	for c := range 3 {
		if !(d.slope[c] >= least) || !(d.power[c] > 0) {
			return errors.New("its Slope must not be negative and its Power above 0, and Slope above 0 in an inverse")
		}
	}
	if !(d.saturation >= least) || math.IsInf(d.saturation, 0) {
		return errors.New("its Saturation must not be negative, and above 0 in an inverse")
	}
	return nil
}

func (d *decision) apply(rgb *[3]float64) {
	if d.inverse {
		d.clamp(rgb)
		saturate(rgb, 1/d.saturation)
		d.clamp(rgb)
		for c, x := range rgb {
			rgb[c] = (d.raised(x, 1/d.power[c]) - d.offset[c]) / d.slope[c]
		}
	} else {
		for c, x := range rgb {
			rgb[c] = x*d.slope[c] + d.offset[c]
		}
		d.clamp(rgb)
		for c, x := range rgb {
			rgb[c] = d.raised(x, d.power[c])
		}
		saturate(rgb, d.saturation)
	}
	d.clamp(rgb)
}

func (d *decision) clamp(rgb *[3]float64) {
	for c, x := range rgb {
		if !d.unclamped {
			rgb[c] = min(max(x, 0), 1)
		}
	}
}

func (d *decision) raised(x, power float64) float64 {
	if x < 0 {
		return x
	}
	return math.Pow(x, power)
}

// saturate moves the channels away from their luma, by the weights of BT.709 as the standard has it.
func saturate(rgb *[3]float64, saturation float64) {
	luma := 0.2126*rgb[0] + 0.7152*rgb[1] + 0.0722*rgb[2]
	for c, x := range rgb {
		rgb[c] = luma + saturation*(x-luma)
	}
}
