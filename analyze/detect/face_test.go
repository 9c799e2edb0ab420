package detect

import (
	"fmt"
	"math"
	"testing"

	"stopledger/analyze/detect/pyramid"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// TestRealFaces: one frontal face in each of two pictures, where a person sees it.
func TestRealFaces(t *testing.T) {
	for _, c := range []struct {
		name   string
		centre geometry.Point // seen by eye, pixels
		size   float64
	}{
		{"faces/man_on_bench_T3i.jpg", geometry.Pt(470, 262), 90},
		{"faces/pigo_sample.jpg", geometry.Pt(158, 200), 220},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, r, m := jpegFrame(t, c.name)
			found := Look(f, r, m, Options{}).Faces
			if len(found) != 1 {
				t.Fatalf("%d faces, want 1", len(found))
			}
			q := found[0].Corners
			if d := q.Centre().Distance(c.centre); d > c.size/4 || q.Side(0) > 1.6*c.size || q.Side(0) < c.size/1.6 {
				t.Errorf("face at %.0f of %.0f px, want %.0f of %.0f", q.Centre(), q.Side(0), c.centre, c.size)
			}
			// Both are light-skinned: +1 to 0 over 18 % in a finished picture. Common practice, no source.
			if s := found[0].Stops; s < -0.3 || s > 1.3 {
				t.Errorf("skin at %+.2f stops", s)
			}
		})
	}
}

// recordedAs turns a finished picture into a recording of the scene it shows, exposed by stops.
func recordedAs(f *decode.Frame, from, to curve.Reading, m curve.Matrix, stops curve.Stops) *decode.Frame {
	w, h := f.Planes[0].Width, f.Planes[0].Height
	t := newMeter(f, from, m, 0, &defaults.Search)
	out := &decode.Frame{Layout: decode.RGB, Bits: to.Bits}
	for k := range out.Planes {
		out.Planes[k] = plane(w, h)
	}
	for y := range h {
		for x := range w {
			_, rgb := t.codes(x, y)
			for k, c := range rgb {
				code := to.CodeOf(from.Light(curve.FileCode(c)) * curve.Light(stops.Gain()))
				whole := math.Min(math.Max(math.Round(float64(code)), 0), 1023)
				out.Planes[k].Row(y)[x] = uint16(whole)
			}
		}
	}
	return out
}

// TestFaceFollowsExposure: the same face recorded in a log curve, over and under, is found and reads
// just so much more or less.
func TestFaceFollowsExposure(t *testing.T) {
	const tolerance = 0.06 // stops: another set of windows may find it, so the region moves a little
	f, r, m := jpegFrame(t, "faces/pigo_sample.jpg")
	nominal := Look(recordedAs(f, r, reading(t, "S-Log3"), m, 0), reading(t, "S-Log3"), curve.BT709, Options{}).Faces
	if len(nominal) == 0 {
		t.Fatal("no face to start with")
	}
	for _, stops := range []curve.Stops{-3, -1, 1.65, 3} {
		log := recordedAs(f, r, reading(t, "S-Log3"), m, stops)
		found := Look(log, reading(t, "S-Log3"), curve.BT709, Options{}).Faces
		if len(found) != 1 || off(found[0].Stops, nominal[0].Stops+stops) > tolerance {
			t.Errorf("%+.2f stops: %+v, want one face at %+.2f", stops, found, nominal[0].Stops+stops)
		}
	}
}

// turned returns the frame turned clockwise by quarter turns.
func turned(f *decode.Frame, quarters int) *decode.Frame {
	out := *f
	for range quarters {
		for i, p := range out.Planes {
			q := plane(p.Height, p.Width)
			for y := range p.Height {
				for x := range p.Width {
					q.Samples[x*q.Stride+p.Height-1-y] = p.Samples[y*p.Stride+x]
				}
			}
			out.Planes[i] = q
		}
	}
	return &out
}

// TestFaceInTurnedFrame: a frame that must be turned for display has its faces found upright, at
// their place in the frame as coded.
func TestFaceInTurnedFrame(t *testing.T) {
	f, r, m := jpegFrame(t, "faces/pigo_sample.jpg")
	upright := Look(f, r, m, Options{}).Faces
	if len(upright) == 0 {
		t.Fatal("no face to start with")
	}
	for quarters := 1; quarters < 4; quarters++ {
		coded := turned(f, 4-quarters) // displayed after quarters more
		found := Look(coded, r, m, Options{RotationDeg: 90 * quarters}).Faces
		if len(found) != 1 || off(found[0].Stops, upright[0].Stops) > 0.1 {
			t.Errorf("%d quarters: %+v", quarters, found)
			continue
		}
		w, h := float64(f.Planes[0].Width), float64(f.Planes[0].Height)
		c := found[0].Corners.Centre()
		back := map[int]geometry.Point{1: {X: w - c.Y, Y: c.X}, 2: {X: w - c.X, Y: h - c.Y}, 3: {X: c.Y,
			Y: h - c.X}}[quarters]
		if d := back.Distance(upright[0].Corners.Centre()); d > 8 {
			t.Errorf("%d quarters: centre %.0f comes back to %.0f, off by %.0f px", quarters, c, back, d)
		}
	}
}

// TestUprightTurns takes each pixel where the frame's place says it comes from.
func TestUprightTurns(t *testing.T) {
	l := pyramid.New(7, 4, 2)
	for i := range l.Y {
		l.Y[i] = int16(400 + 100*i)
	}
	tones := pyramid.NewToneTable(reading(t, "S-Log3"), &defaults.Flat)
	for _, rotation := range []int{0, 90, 180, 270, -90, 450} {
		t.Run(fmt.Sprint(rotation), func(t *testing.T) {
			r := newUpright(l, tones, rotation)
			last := -1
			for y := range l.H {
				for x := range l.W {
					i, j := r.turned(x, y)
					if back := r.frame(geometry.Pt(float64(i)+0.5,
						float64(j)+0.5)); back.Distance(geometry.Pt(2*(float64(x)+0.5), 2*(float64(y)+0.5))) > 1e-9 {
						t.Fatalf("%d, %d comes back to %v", x, y, back)
					}
					v := int(r.pix[j*r.w+i])
					if v < last {
						t.Fatalf("picture not rising: %d after %d", v, last)
					}
					last = v
				}
			}
		})
	}
}

// TestDisplay: the frame's middle shows as 18 %: 255 x 0.18^(1/2.4) = 124.8 by the inverse of the
// BT.1886 display (Recommendation ITU-R BT.1886, annex 1, zero black).
func TestDisplay(t *testing.T) {
	r := reading(t, "S-Log3")
	tones := pyramid.NewToneTable(r, &defaults.Flat)
	for _, middle := range []curve.Stops{-3, 0, 1.65} {
		i := int(math.Round(float64(r.CodeOf(middle.Light())) * pyramid.SignalScale(r.Bits)))
		if got := shownCodes(tones, float64(middle))[i]; got != 125 {
			t.Errorf("middle %+.2f shows as %d, want 125", middle, got)
		}
	}
}
