package synth

import (
	"math"

	"stopledger/curve"
)

// Truth returns what is known of the shot, but for the clipped shares, which are counted in
// the frames as they are made: see Count.
func (r *Renderer) Truth() Truth {
	t := Truth{
		Reading: r.cam.Reading(), Matrix: r.cam.Matrix, Frames: r.shot.Frames,
		channels: r.sensor.channels, grain: r.cam.Grain,
		ChromaSubsampled: r.cam.Sampling == S422 || r.cam.Sampling == S420,
		tone:             r.tone.exact,
	}
	var readVar, shot float64
	for c, k := range weights(r.cam.Matrix) {
		ch := t.channels[c]
		readVar += sq(k) * ch.readVar
		shot += sq(k) * ch.shot
		t.Ceilings[c] = t.Reading.Code(curve.FileCode(t.tone(ch.ceiling)))
		t.CeilingLuma += curve.Code(k) * t.Ceilings[c]
	}
	t.Noise = Noise{Read: curve.Light(math.Sqrt(readVar)), Shot: curve.Light(shot)}
	t.FloorStops = t.Noise.Floor().Stops()
	r.findRegions(&t)
	r.place(&t)
	return t
}

// Count adds the clipped shares of one more frame.
func (t *Truth) Count(p Planes) {
	t.ClippedEach = append(t.ClippedEach, p.Clipped.Shares())
	n := curve.Share(len(t.ClippedEach))
	add := func(mean *curve.Share, v curve.Share) { *mean += (v - *mean) / n }
	s := p.Clipped.Shares()
	add(&t.Clipped.R, s.R)
	add(&t.Clipped.G, s.G)
	add(&t.Clipped.B, s.B)
	add(&t.Clipped.Any, s.Any)
	add(&t.Clipped.All, s.All)
}

// Expose renders all frames of a shot without a codec.
func Expose(cam Camera, shot Shot) ([]Planes, Truth, error) {
	r, err := NewRenderer(cam, shot)
	if err != nil {
		return nil, Truth{}, err
	}
	t := r.Truth()
	frames := make([]Planes, shot.Frames)
	for i := range frames {
		frames[i] = r.Frame(i)
		t.Count(frames[i])
	}
	return frames, t, nil
}
