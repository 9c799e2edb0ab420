// Package synth is a synthetic camera. It makes clips whose exposure, noise and clipping are
// known because it put them there, so that measurements can be compared with the truth.
//
// Light goes the way it goes in a camera: a [Scene] of scene-linear light, exposed by a [Shot]
// (stops, gradients, flicker, drift), falls on the sensor of a [Camera] (shot noise, read noise,
// fixed pattern, ceiling), is recorded through a published curve and a Y'CbCr matrix as integer
// [Planes], and may be encoded to a file by [Record]. What was made is told by [Truth].
//
// Everything follows from the seeds: the same camera and shot give the same planes, however
// many processors share the work.
package synth

import (
	"errors"
	"fmt"

	"stopledger/curve"
)

// A Sampling says how many colour samples are recorded.
type Sampling int

// Samplings. RGB records R', G', B' planes without a matrix.
const (
	S422 Sampling = iota
	S420
	S444
	RGB
)

// A Grain says how the noise of neighbouring pixels hangs together.
type Grain int

const (
	// White: every pixel by itself.
	White Grain = iota
	// Shared: each pixel shares noise with its neighbours, [1 1] across and down, as after
	// demosaicing or scaling. The standard deviation is the model's all the same.
	Shared
)

// A Camera turns light into recorded codes.
type Camera struct {
	Width, Height int // pixels

	Noise   Noise   // of each channel before white balance
	Grain   Grain   // its correlation from pixel to pixel
	Pattern Pattern // what stays in place
	// Ceiling is the recorded light at which a channel of gain 1 clips; 0 means only the
	// curve's top clips.
	Ceiling curve.Light
	// Gains are the white balance gains of R, G and B, 0 meaning 1. A neutral stays neutral; a
	// channel's noise and ceiling grow with its gain.
	Gains [3]float64

	Curve    *curve.Curve // what it records through
	Matrix   curve.Matrix // also gives luma its meaning where Sampling is RGB
	Range    curve.Range  // of its codes
	Bits     int          // 8, 10, 12 or 16
	Sampling Sampling     // of colour
}

// NewCamera returns a clean camera to start from: 10-bit 4:2:2 narrow range, BT.709, 30,000
// electrons at a ceiling six stops over grey, three electrons of read noise. Such a camera's
// floor lies 7.5 stops under grey.
func NewCamera(width, height int, c *curve.Curve) Camera {
	site := Photosite{FullWell: 30000, ReadE: 3, BaseISO: 800, BaseCeiling: curve.Stops(6).Light()}
	return Camera{
		Width: width, Height: height, Noise: site.Noise(), Ceiling: site.Ceiling(),
		Curve: c, Matrix: curve.BT709, Bits: 10,
	}
}

// Reading returns how the camera's codes are to be read.
func (c Camera) Reading() curve.Reading {
	return curve.Reading{Curve: c.Curve, Range: c.Range, Bits: c.Bits}
}

func (c Camera) check() error {
	switch {
	case c.Width < 2 || c.Height < 2:
		return fmt.Errorf("synth: a frame of %d x %d cannot be recorded: make it at least 2 x 2", c.Width, c.Height)
	case c.Curve == nil:
		return errors.New("synth: the camera has no curve: set Camera.Curve")
	case c.Matrix.Kr == 0:
		return errors.New("synth: the camera has no matrix: set Camera.Matrix")
	case c.Bits < 8 || c.Bits > 16:
		return fmt.Errorf("synth: %d bits cannot be recorded: use 8 to 16", c.Bits)
	case c.Sampling != RGB && c.Sampling != S444 && c.Width%2 != 0,
		c.Sampling == S420 && c.Height%2 != 0:
		return fmt.Errorf("synth: %d x %d cannot be subsampled: use an even size", c.Width, c.Height)
	case c.Noise.Read < 0 || c.Noise.Shot < 0:
		return errors.New("synth: noise cannot be negative")
	}
	return nil
}

// codeLimits returns the lowest and highest code the camera writes: narrow range leaves out the
// codes that the interface reserves, 0..3 and 1020..1023 at 10 bits (SMPTE ST 274, timing
// reference codes; from memory).
func (c Camera) codeLimits() (low, high curve.FileCode) {
	r := c.Reading()
	if c.Range == curve.Full {
		return 0, r.Last()
	}
	return r.FileCode(4), r.Last()
}

// A channel is one colour of the sensor after white balance, in recorded linear light: plain
// numbers, since every pixel is worked out with them.
type channel struct {
	gain    float64 // white balance
	readVar float64 // variance with no light
	shot    float64 // light of one electron
	ceiling float64 // light at which it clips
}

func (c Camera) channels() [3]channel {
	var out [3]channel
	r := c.Reading()
	_, high := c.codeLimits()
	top := float64(r.Light(high))
	for i := range out {
		g := c.Gains[i]
		if g == 0 {
			g = 1
		}
		out[i] = channel{gain: g, readVar: sq(g * float64(c.Noise.Read)), shot: g * float64(c.Noise.Shot), ceiling: top}
		if c.Ceiling > 0 {
			out[i].ceiling = min(top, g*float64(c.Ceiling))
		}
	}
	return out
}

func sq(v float64) float64 { return v * v }
