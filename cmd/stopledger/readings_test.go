package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

// placementWithin is how well a card's placement comes back, in stops: a fifth of what a card's
// tilt does to it (common practice, no source). It holds at 8 bits too: the synthetic camera's
// noise is 1 to 2.4 code steps there, so that rounding averages out. Without noise a level can be
// off by half a code step, which is up to 0.046 stops (LogC4, a stop under); see
// TestPlacementWithoutNoise.
const placementWithin = 0.02

// A coding is how a camera's codes stand in a file.
type coding struct {
	rng    curve.Range
	bits   int
	matrix curve.Matrix
}

func (c coding) String() string {
	return fmt.Sprintf("%d-%s-%s", c.bits, metadata.NameOf(c.rng), c.matrix.Name)
}

func codings() []coding {
	var list []coding
	for _, rng := range []curve.Range{curve.Narrow, curve.Full} {
		for _, bits := range []int{8, 10, 12} {
			for _, m := range []curve.Matrix{curve.BT601, curve.BT709, curve.BT2020} {
				list = append(list, coding{rng, bits, m})
			}
		}
	}
	return list
}

// The same card through every recorded curve, in every range, depth and matrix, without loss: where
// it was placed is where it is found. With STOPLEDGER_FULL=1 that is every combination; otherwise
// every third coding, another third for each curve, so that each coding occurs, and each range and
// depth of each curve.
func TestPlacementThroughEveryReading(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	curves := []*curve.Curve{curveNamed(t, "LogC3 EI160"), curveNamed(t, "LogC3 EI3200")}
	for _, c := range curve.All() {
		if c.Recorded {
			curves = append(curves, c)
		}
	}
	for i, c := range curves {
		t.Run(c.Name, func(t *testing.T) {
			dir := t.TempDir()
			truths := map[string]synth.Truth{}
			want := map[string]coding{}
			for j, k := range codings() {
				if os.Getenv("STOPLEDGER_FULL") == "" && j%3 != (i+j/3)%3 {
					continue
				}
				path := filepath.Join(dir, k.String()+".mkv")
				want[path] = k
				truths[path] = take{curve: c.Name, stops: []curve.Stops{-1, 0, 1.65}[(i+j)%3],
					how: synth.Encoding{Codec: synth.FFV1},
					change: func(cam *synth.Camera) {
						cam.Range, cam.Bits, cam.Matrix, cam.Sampling = k.rng, k.bits, k.matrix, synth.S422
					}}.record(t, path)
			}
			doc, code, stderr := audited(t, "--curve", c.Name, "--region", takeCard, dir)
			if code != exitMeasured || len(doc.Clips) != len(want) {
				t.Fatalf("exit code %d, %d clips of %d: %s", code, len(doc.Clips), len(want), stderr)
			}
			for _, clip := range doc.Clips {
				k, truth := want[clip.Path], truths[clip.Path]
				if clip.Bits != k.bits || clip.Range.Value != string(metadata.NameOf(k.rng)) ||
					clip.Matrix.Value != k.matrix.Name || clip.Curve.Name != c.Name {
					t.Errorf("%v is read as %d bits, %v, %v, %s", k, clip.Bits, clip.Range, clip.Matrix, clip.Curve.Name)
				}
				if off := float64(clip.Placement.Stops - truth.Placement); !(math.Abs(off) <= placementWithin) {
					t.Errorf("%v: grey at %+.3f stops, placed at %+.3f: %+.1f times the tolerance", k, clip.Placement.Stops,
						truth.Placement, off/placementWithin)
				}
				if p := clip.Placement; !(p.Low <= p.Stops && p.Stops <= p.High) {
					t.Errorf("%v: %+.3f is not within %+.3f .. %+.3f", k, p.Stops, p.Low, p.High)
				}
				level := func(stops curve.Stops) curve.Percent {
					return truth.Reading.PercentOf(stops.Light())
				}
				low, high := level(truth.Placement-placementWithin), level(truth.Placement+placementWithin)
				if p := clip.Placement.Percent; !(low <= p && p <= high) {
					t.Errorf("%v: grey at %.2f %%, want %.2f to %.2f %%", k, p, low, high)
				}
			}
		})
	}
}

// Without noise a whole card is one code, and the placement is off by half a step of it at most.
func TestPlacementWithoutNoise(t *testing.T) {
	for _, c := range curve.All() {
		if !c.Recorded {
			continue
		}
		for _, bits := range []int{8, 10} {
			path := filepath.Join(t.TempDir(), "clean.mkv")
			truth := take{curve: c.Name, stops: -0.7, how: synth.Encoding{Codec: synth.FFV1},
				change: func(cam *synth.Camera) { cam.Bits, cam.Noise = bits, synth.Noise{} }}.record(t, path)
			clip := auditedClip(t, "--curve", c.Name, "--region", takeCard, path)
			light := truth.Placement.Light()
			half := truth.Reading.LightPerCode(truth.Reading.CodeOf(light)) / 2
			least, most := math.Log2(1-half/float64(light)), math.Log2(1+half/float64(light))
			const bend = 1.02 // a step is not the same on either side of a code
			if off := float64(clip.Placement.Stops - truth.Placement); !(least*bend <= off && off <= most*bend) {
				t.Errorf("%s, %d bits: off by %+.4f stops, half a code step is %.4f", c.Name, bits, off, most)
			}
		}
	}
}
