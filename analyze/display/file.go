package display

import (
	"math"

	"stopledger/curve"
	"stopledger/curve/lut"
)

// A File is a display transform of the user's, shown in place of the built-in rendering.
type File struct {
	Path    string         `json:"file"`          // as it was named
	Digest  string         `json:"sha256"`        // of its content
	Domain  curve.Domain   `json:"domain"`        // what it takes
	Expects curve.Stops    `json:"expects_stops"` // placement of grey that it was made for
	Made    *lut.Transform `json:"-"`             // nil in a document that was read again
}

// A Rendering shows scene-linear light, after the correction, on a display: through a file for clips
// of one reading, or by the built-in rendering where it is nil.
type Rendering struct {
	File File

	reading      curve.Reading
	gain, offset float64 // from the formula's n to the file's domain
	white        float64 // the highest signal of a neutral, 1 = the signal's full scale
}

// For returns the rendering for clips of a reading; nil for no file.
func (f *File) For(r curve.Reading) *Rendering {
	if f == nil || f.Made == nil {
		return nil
	}
	shows := &Rendering{File: *f, reading: r}
	shows.gain, shows.offset = r.InDomain(f.Domain)
	const steps = 1024
	last := max(1, r.Signal(r.Last()))
	for i := range steps + 1 {
		shows.white = max(shows.white, shows.neutral(last*float64(i)/steps))
	}
	return shows
}

// neutral returns the signal of a neutral of the formula's n, 1 = full scale: R, G and B as much as in
// luma of BT.709.
func (r *Rendering) neutral(n float64) float64 {
	v := r.gain*n + r.offset
	rgb := r.File.Made.RGB([3]float64{v, v, v})
	return curve.BT709.Kr*rgb[0] + curve.BT709.Kg()*rgb[1] + curve.BT709.Kb*rgb[2]
}

// Signal returns the display signal that neutral scene-linear light shows as, 0..100 % of the
// rendering's white: through a file the highest signal that a neutral comes to, whatever the display.
func (r *Rendering) Signal(l curve.Light) curve.Percent {
	if r == nil {
		return Render(l).Signal()
	}
	return r.share(r.reading.Curve.Encode(l))
}

// White returns the signal of the file's white, of full scale.
func (r *Rendering) White() curve.Percent { return curve.Percent(100 * r.white) }

func (r *Rendering) share(n float64) curve.Percent {
	return curve.Percent(100 * min(max(r.neutral(n)/r.white, 0), 1))
}

// Light returns the light of the display for neutral scene-linear light. Through a file its signal is
// taken for that of a BT.1886 display with zero black, whose white is the file's.
func (r *Rendering) Light(l curve.Light) Light {
	if r == nil {
		return Render(l)
	}
	return Light(math.Pow(float64(r.Signal(l))/100, gamma))
}

// Slope returns the derivative of Light, through a file over a tenth of a stop.
func (r *Rendering) Slope(l curve.Light) curve.Ratio {
	if r == nil {
		return Slope(l)
	}
	if !(l > 0) {
		return 0
	}
	const step = 0.035
	return curve.Ratio(r.Light(l*(1+step))-r.Light(l*(1-step))) / curve.Ratio(2*step*float64(l))
}

// Codes returns the 8-bit codes, full range, of a colour's scene-linear light: through a file its own
// output, rounded. NaN shows as black.
func (r *Rendering) Codes(red, green, blue curve.Light) [3]uint8 {
	light := [3]curve.Light{red, green, blue}
	var codes [3]uint8
	if r == nil {
		for c, l := range light {
			codes[c] = Code(l)
		}
		return codes
	}
	var v [3]float64
	for c, l := range light {
		v[c] = r.gain*r.reading.Curve.Encode(l) + r.offset
	}
	for c, signal := range r.File.Made.RGB(v) {
		codes[c] = code(signal)
	}
	return codes
}

// Shade sets pixels, four bytes each, to the 8-bit codes of their scene-linear light times a gain, as Codes has
// them, and alpha.
func (r *Rendering) Shade(pixels []uint8, red, green, blue []float32, gain float32) {
	green, blue = green[:len(red)], blue[:len(red)]
	for i, light := range red {
		p := (*[4]uint8)(pixels[4*i:])
		if r == nil {
			*p = [4]uint8{code32(light * gain), code32(green[i] * gain), code32(blue[i] * gain), whitest}
			continue
		}
		codes := r.Codes(curve.Light(light*gain), curve.Light(green[i]*gain), curve.Light(blue[i]*gain))
		*p = [4]uint8{codes[0], codes[1], codes[2], whitest}
	}
}

// code rounds a signal, 1 = full scale, to the 8-bit code.
func code(signal float64) uint8 {
	if !(signal > 0) {
		return 0
	}
	return uint8(math.Round(whitest * min(signal, 1)))
}
