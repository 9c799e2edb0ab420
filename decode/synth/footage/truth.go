package footage

import (
	"math"
	"slices"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// Truth is what is known of a shot because it was made so, before the codec.
type Truth struct {
	Placement curve.Stops      // of the card or the chart's greys, from their light; unknown without one in frame
	Ceilings  [3]curve.Code    // of R', G', B', after the shoulder
	Clipped   synth.ClipShares // means over the frames
	Tones     []Tone           // noise by tone, of neutrals that stand still, darkest first
	Floor     curve.Stops      // recorded stops where light equals its noise; unknown beyond the tones
}

// A Tone is the temporal noise of luma at one level.
type Tone struct {
	Recorded    curve.Stops // mean light, over nominal grey
	Code        curve.Code
	SigmaCode   curve.Code
	SigmaLinear curve.Light
}

// SNR returns 20 log10(light / sigma) at a tone.
func (t Tone) SNR() curve.Decibels {
	return curve.Decibels(20 * math.Log10(float64(t.Recorded.Light()/t.SigmaLinear)))
}

// At returns the SNR at a tone between two known ones; unknown outside.
func (t Truth) At(recorded curve.Stops) curve.Decibels {
	for i := 1; i < len(t.Tones); i++ {
		a, b := t.Tones[i-1], t.Tones[i]
		if a.Recorded <= recorded && recorded <= b.Recorded {
			part := curve.Decibels((recorded - a.Recorded) / (b.Recorded - a.Recorded))
			return a.SNR() + part*(b.SNR()-a.SNR())
		}
	}
	return curve.Unknown[curve.Decibels]()
}

// Truth returns what is known of the frames made so far.
func (r *Reel) Truth() Truth {
	t := Truth{Placement: r.placement(), Tones: r.cam.Tones(), Floor: curve.Unknown[curve.Stops]()}
	reading := r.cam.Record.Reading()
	for c, light := range r.cam.Sensor.ceilings() {
		t.Ceilings[c] = reading.Code(curve.FileCode(r.cam.codeOf(light)))
	}
	n := curve.Share(max(r.exposed, 1))
	t.Clipped = synth.ClipShares{R: r.clipped.R / n, G: r.clipped.G / n, B: r.clipped.B / n,
		Any: r.clipped.Any / n, All: r.clipped.All / n}
	for i := 1; i < len(t.Tones); i++ {
		a, b := t.Tones[i-1], t.Tones[i]
		if a.SNR() <= 0 && b.SNR() > 0 {
			t.Floor = a.Recorded + (b.Recorded-a.Recorded)*curve.Stops(-a.SNR()/(b.SNR()-a.SNR()))
		}
	}
	return t
}

// placement returns how far the light on the card, or on a chart's greys where there is no card, lies
// over what they reflect: the median over the marks, because some may be covered, of means over the frame
// times, vignetting and lens included.
func (r *Reel) placement() curve.Stops {
	var all []float64
	for _, m := range references(r.stage.scene.marks()) {
		var sum, n float64
		for frame := 0; frame < r.next; frame += max(r.next/4, 1) {
			if light, ok := r.lightOn(m, float64(r.shot.moment(frame))/r.shot.rate()); ok {
				sum += math.Log2(light / float64(m.Reflectance))
				n++
			}
		}
		if n > 0 {
			all = append(all, sum/n)
		}
	}
	if len(all) == 0 { // none was ever in frame
		return curve.Unknown[curve.Stops]()
	}
	slices.Sort(all)
	return curve.Stops(all[len(all)/2]+all[(len(all)-1)/2]) / 2
}

// references returns the first card of a scene, or else the greys of its charts.
func references(marks []synth.Mark) (greys []synth.Mark) {
	for _, m := range marks {
		switch {
		case m.Kind == synth.MarkCard:
			return []synth.Mark{m}
		case m.Kind == synth.MarkPatch && m.Neutral:
			greys = append(greys, m)
		}
	}
	return greys
}

// lightOn returns the mean luma-weighted light over the middle of a mark at a time.
func (r *Reel) lightOn(m synth.Mark, t float64) (float64, bool) {
	light := r.stage.light(t)
	v := r.stage.at(t)
	dx, dy := -v.X, -v.Y
	if m.Path != nil {
		px, py := m.Path(t)
		dx, dy = dx+px, dy+py
	}
	q := m.Quad.Shift(dx, dy).Part(0.25, 0.25, 0.75, 0.75)
	if !q.Within(light.Width, light.Height) {
		return 0, false
	}
	var sum, n float64
	k, b := r.cam.Record.Matrix, q.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			i := y*light.Width + x
			l := k.Kr*float64(light.Planes[0][i]) + k.Kg()*float64(light.Planes[1][i]) + k.Kb*float64(light.Planes[2][i])
			sum += l * float64(r.process.falloff[i])
			n++
		}
	}
	return sum / n, n > 0
}

// Flat fields by which the noise is found: levels from lowest on, half a stop apart, as columns of
// a small picture, over so many frames after those that temporal noise reduction needs to settle.
const (
	lowestTone  = -11.0
	toneStep    = 0.5
	tonePixels  = 32
	toneRows    = 64
	toneSettles = 12
	toneFrames  = 12
)

// Tones returns the camera's noise by tone: the per-pixel temporal standard deviation of luma in
// flat neutral fields, before the codec and before rounding.
func (c Camera) Tones() []Tone {
	count := int((math.Log2(c.top()/curve.MidGrey) - 0.3 - lowestTone) / toneStep)
	small := c
	small.Vignette, small.Record.Width, small.Record.Height = 0, count*tonePixels, toneRows
	w, h := small.photosites()
	field := NewImage(w, h)
	for i := range field.Planes[0] {
		column := min(i%w*count/w, count-1)
		for p := range field.Planes {
			field.Planes[p][i] = float32(curve.MidGrey * math.Exp2(lowestTone+toneStep*float64(column)))
		}
	}
	process := newProcess(small)
	sum, square := make([]float64, small.Record.Width*toneRows), make([]float64, small.Record.Width*toneRows)
	for frame := range toneSettles + toneFrames {
		light := NewImage(w, h)
		for p := range light.Planes {
			copy(light.Planes[p], field.Planes[p])
		}
		codes := process.frame(light, 77, frame, false).codes
		if frame < toneSettles {
			continue
		}
		for i := range sum {
			luma := small.luma(codes, i)
			sum[i] += luma
			square[i] += luma * luma
		}
	}
	return small.tonesOf(sum, square, count)
}

func (c Camera) luma(codes *Image, i int) float64 {
	k := c.Record.Matrix
	return k.Kr*float64(codes.Planes[0][i]) + k.Kg()*float64(codes.Planes[1][i]) + k.Kb*float64(codes.Planes[2][i])
}

// tonesOf turns sums over frames into tones, a pixel's border of each column left out.
func (c Camera) tonesOf(sum, square []float64, count int) []Tone {
	reading := c.Record.Reading()
	var tones []Tone
	for column := range count {
		var mean, variance, n float64
		for y := range toneRows {
			for x := column*tonePixels + 4; x < (column+1)*tonePixels-4; x++ {
				i := y*c.Record.Width + x
				m := sum[i] / toneFrames
				mean += m
				variance += (square[i] - sum[i]*m) / (toneFrames - 1)
				n++
			}
		}
		code := curve.FileCode(mean / n)
		sigma := math.Sqrt(variance / n)
		// Over a standard deviation either way: at a curve's kink the slope at the mean would not do.
		tones = append(tones, Tone{Recorded: curve.Stops(lowestTone + toneStep*float64(column)), Code: reading.Code(code),
			SigmaCode:   reading.Code(curve.FileCode(sigma)),
			SigmaLinear: (reading.Light(code+curve.FileCode(sigma)) - reading.Light(code-curve.FileCode(sigma))) / 2})
	}
	return tones
}
