package footage

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// A Camera turns scenes into recorded frames.
type Camera struct {
	Record synth.Camera // size, curve, matrix, range, depth, sampling; its noise and ceiling are not used
	Sensor Sensor

	Oversample float64     // photosites to one recorded pixel, each way; 1.5 as a rule
	Lens       float64     // blur, standard deviation in photosites
	Vignette   curve.Stops // of light lost in the corners
	Shoulder   curve.Stops // below the ceiling over which the recording rolls off; 0 for a hard clip
	BlackClamp bool        // codes under the curve's black are lifted to it
	Spatial    float64     // spatial noise reduction, 0 none .. 1 strong
	Temporal   float64     // share of the frame before that temporal noise reduction keeps where nothing moves
	Sharpen    float64     // unsharp mask, share of the detail added; 0 none
}

// NewCamera returns a camera to start from: 1.5 photosites to a pixel, white balance gains of 1.8,
// 1 and 1.5 after the clip, 30,000 electrons at ceiling stops over nominal in green.
func NewCamera(width, height int, c *curve.Curve, ceiling curve.Stops) Camera {
	return Camera{
		Record: synth.NewCamera(width, height, c), Oversample: 1.5, Lens: 0.5, Vignette: 0.3,
		Sensor: Sensor{FullWell: 30000, ReadE: 4, RowE: 0.5, PRNU: 0.006, DSNU: 1, FixedRow: 0.4,
			Ceiling: float64(ceiling.Light()), Gains: [3]float64{1.8, 1, 1.5}, Seed: 1},
	}
}

// photosites returns the size of the sensor.
func (c Camera) photosites() (width, height int) {
	even := func(n int) int { return int(math.Round(float64(n)*c.Oversample/2)) * 2 }
	return even(c.Record.Width), even(c.Record.Height)
}

// A process makes recorded frames of light, in order: temporal noise reduction looks back.
type process struct {
	cam     Camera
	pattern pattern
	falloff []float32 // vignetting by photosite
	tone    *synth.ToneTable
	before  *Image // codes of the frame before, after temporal noise reduction
}

func newProcess(cam Camera) *process {
	w, h := cam.photosites()
	p := &process{cam: cam, pattern: cam.Sensor.pattern(w, h), tone: synth.NewToneTable(cam.codeOf)}
	p.falloff = make([]float32, w*h)
	corner := math.Hypot(float64(w), float64(h)) / 2
	rows(h, func(y int) {
		for x := range w {
			r := math.Hypot(float64(x)-float64(w)/2, float64(y)-float64(h)/2) / corner
			p.falloff[y*w+x] = float32(math.Exp2(-float64(cam.Vignette) * r * r))
		}
	})
	return p
}

// A developed frame is what the camera hands to the codec, with what clipped in it.
type developed struct {
	codes   *Image // R', G', B' file codes, unrounded
	clipped synth.ClipShares
}

// frame takes light at the photosites, exposure included, to R', G', B' codes.
func (p *process) frame(light *Image, seed uint64, index int, quiet bool) developed {
	for c := range light.Planes {
		plane := light.Planes[c]
		rows(light.Height, func(y int) {
			for i := y * light.Width; i < (y+1)*light.Width; i++ {
				plane[i] *= p.falloff[i]
			}
		})
	}
	raw := p.cam.Sensor.expose(light, p.pattern, seed, index, quiet)
	m := demosaic(raw, light.Width, light.Height).shrink(p.cam.Record.Width, p.cam.Record.Height)
	d := developed{codes: m, clipped: clippedShares(m, p.cam.Sensor.ceilings())}
	encode(m, p.tone)
	p.reduce(m)
	m.sharpen(p.cam.Sharpen)
	p.before = m
	return d
}

// recordedAs is the light, of the ceiling's, from which a pixel is recorded as the ceiling itself:
// half a code of a log curve of 114 codes to a factor of e below it.
const recordedAs = 1 - 0.5/114

// clippedShares counts pixels recorded at the ceilings.
func clippedShares(m *Image, ceilings [3]float64) synth.ClipShares {
	var n [5]int
	for i := range m.Planes[0] {
		over := 0
		for c := range ceilings {
			if float64(m.Planes[c][i]) >= recordedAs*ceilings[c] {
				n[c]++
				over++
			}
		}
		if over > 0 {
			n[3]++
		}
		if over == 3 {
			n[4]++
		}
	}
	share := func(k int) curve.Share { return curve.Share(float64(n[k]) / float64(len(m.Planes[0]))) }
	return synth.ClipShares{R: share(0), G: share(1), B: share(2), Any: share(3), All: share(4)}
}

// codeOf returns the file code of light after the shoulder.
func (c Camera) codeOf(light float64) float64 {
	reading := c.Record.Reading()
	code := float64(reading.CodeOf(curve.Light(shoulder(light, c.top(), c.Shoulder))))
	if black := float64(reading.CodeOf(0)); math.IsNaN(code) || c.BlackClamp && code < black {
		return black
	}
	return code
}

// top returns the highest ceiling of the channels.
func (c Camera) top() float64 {
	all := c.Sensor.ceilings()
	return max(all[0], all[1], all[2])
}

// shoulder bends light over the knee, so many stops below the top, towards the top: slope one at
// the knee, falling as an exponential.
func shoulder(light, top float64, stops curve.Stops) float64 {
	if stops <= 0 {
		return light
	}
	knee := top * math.Exp2(-float64(stops))
	if light <= knee {
		return light
	}
	room := (top - knee) / 2 // a full well ends well on the bend
	return knee + room*(1-math.Exp(-(light-knee)/room))
}

// encode replaces the light of an image by codes.
func encode(m *Image, tone *synth.ToneTable) {
	for c := range m.Planes {
		rows(m.Height, func(y int) { tone.Encode(m.Row(c, y)) })
	}
}
