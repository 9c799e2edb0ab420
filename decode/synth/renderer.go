package synth

import (
	"runtime"
	"sync"
	"sync/atomic"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Renderer makes the frames of one shot. It keeps what does not change between them.
type Renderer struct {
	cam    Camera
	shot   Shot
	tone   *ToneTable
	sensor sensor
	dev    developer
	fall   []float32 // gradient across, a factor for each column

	kept  int          // parts painted in still, from the first
	still [3][]float32 // their light, the whole frame
}

// NewRenderer prepares a shot.
func NewRenderer(cam Camera, shot Shot) (*Renderer, error) {
	if err := cam.check(); err != nil {
		return nil, err
	}
	r := &Renderer{cam: cam, shot: shot, tone: NewToneTable(codesOf(cam.Reading())), dev: newDeveloper(cam)}
	r.sensor = sensor{
		width: cam.Width, height: cam.Height, seed: shot.Seed, grain: cam.Grain,
		channels: cam.channels(), fixed: newFixedPattern(cam.Pattern, cam.Width, cam.Height),
	}
	r.fall = make([]float32, cam.Width)
	for x := range r.fall {
		r.fall[x] = float32((shot.Gradient.Across * fromCentre(x, cam.Width)).Gain())
	}
	r.keepStill()
	return r, nil
}

// fromCentre returns where a pixel lies along a side, -0.5 .. 0.5 from the middle.
func fromCentre(i, size int) curve.Stops {
	return curve.Stops((float64(i)+0.5)/float64(size) - 0.5)
}

// keepStill paints the parts that never change once and for all.
func (r *Renderer) keepStill() {
	if r.shot.Pan != (geometry.Point{}) {
		return
	}
	for _, p := range r.shot.Scene.Parts {
		if !isStill(p) {
			break
		}
		r.kept++
	}
	if r.kept == 0 {
		return
	}
	for c := range r.still {
		r.still[c] = make([]float32, r.cam.Width*r.cam.Height)
	}
	r.bands(func(from, to int) {
		for y := from; y < to; y++ {
			row := r.stillRow(y)
			for _, p := range r.shot.Scene.Parts[:r.kept] {
				p.Paint(Row{X: 0.5, Y: float64(y) + 0.5, R: row[0], G: row[1], B: row[2]})
			}
		}
	})
}

func (r *Renderer) stillRow(y int) (row [3][]float32) {
	w := r.cam.Width
	for c := range row {
		row[c] = r.still[c][y*w : (y+1)*w : (y+1)*w]
	}
	return row
}

// bandRows is the height of the bands that workers take in turn; even, for 4:2:0.
const bandRows = 16

// bands calls do for all rows, in bands, from several workers.
func (r *Renderer) bands(do func(from, to int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for {
				from := int(next.Add(bandRows)) - bandRows
				if from >= r.cam.Height {
					return
				}
				do(from, min(from+bandRows, r.cam.Height))
			}
		})
	}
	wg.Wait()
}

func newRows(width int) *[3][]float32 {
	var rows [3][]float32
	for c := range rows {
		rows[c] = make([]float32, width)
	}
	return &rows
}

// light fills a row with the exposed light that falls on the sensor, without noise.
func (r *Renderer) light(rows *[3][]float32, frame, y int) {
	parts := r.shot.Scene.Parts
	if r.kept > 0 {
		still := r.stillRow(y)
		for c := range rows {
			copy(rows[c], still[c])
		}
		parts = parts[r.kept:]
	}
	s := r.at(frame, 0, y)
	s.R, s.G, s.B = rows[0], rows[1], rows[2]
	for _, p := range parts {
		p.Paint(s)
	}
	r.exposeRow(rows, frame, 0, y)
}

// at returns the scene position of a pixel's centre.
func (r *Renderer) at(frame, x, y int) Row {
	f := float64(frame)
	return Row{
		X: float64(x) + 0.5 + f*r.shot.Pan.X,
		Y: float64(y) + 0.5 + f*r.shot.Pan.Y,
		T: float64(r.shot.Time(frame)),
	}
}

// exposeRow applies veil, exposure, gradient and cast to samples from column x on.
func (r *Renderer) exposeRow(rows *[3][]float32, frame, x, y int) {
	h := r.cam.Height
	down := (r.shot.Gradient.Down * fromCentre(y, h)).Gain()
	gain := r.shot.gain(frame, y, h) * down
	cast := r.shot.Cast
	if cast == (Light{}) {
		cast = Light{1, 1, 1}
	}
	veil := float32(r.shot.Veil)
	for c, row := range rows {
		g := float32(gain) * cast[c]
		fall := r.fall[x:]
		for i := range row {
			row[i] = (row[i] + veil) * g * fall[i]
		}
	}
}
