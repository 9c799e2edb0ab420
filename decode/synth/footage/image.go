package footage

import (
	"math"
	"runtime"
	"sync"

	"stopledger/decode/synth"
)

// An Image is three planes of samples, row by row: scene-linear light, or file codes.
type Image struct {
	Width, Height int
	Planes        [3][]float32 // R, G, B
}

// NewImage returns an image of zeros.
func NewImage(width, height int) *Image {
	m := &Image{Width: width, Height: height}
	for c := range m.Planes {
		m.Planes[c] = make([]float32, width*height)
	}
	return m
}

// Row returns row y of plane c.
func (m *Image) Row(c, y int) []float32 {
	return m.Planes[c][y*m.Width : (y+1)*m.Width : (y+1)*m.Width]
}

// paint paints parts over rows of the image, whose top left pixel lies at (x, y) of the scene.
func (m *Image) paint(parts []synth.Part, x, y, t float64) {
	if len(parts) == 0 {
		return
	}
	rows(m.Height, func(row int) {
		r := synth.Row{X: x + 0.5, Y: y + float64(row) + 0.5, T: t,
			R: m.Row(0, row), G: m.Row(1, row), B: m.Row(2, row)}
		for _, p := range parts {
			p.Paint(r)
		}
	})
}

// rows calls do for rows 0..n-1 from several goroutines.
func rows(n int, do func(y int)) {
	var wait sync.WaitGroup
	workers := min(runtime.GOMAXPROCS(0), n)
	for w := range workers {
		wait.Go(func() {
			for y := n * w / workers; y < n*(w+1)/workers; y++ {
				do(y)
			}
		})
	}
	wait.Wait()
}

// A view is where the camera looks at a moment: the scene's point (X, Y) lies in the frame's top
// left corner, and a pixel spans Scale pixels of the scene around the frame's middle.
type view struct{ X, Y, Scale float64 }

// look fills out with m as seen by a view, by cubic convolution (Keys, "Cubic Convolution
// Interpolation for Digital Image Processing", 1981, a = -1/2), which keeps detail and its
// movement; the scene's border repeats. m's top left pixel lies at (-margin, -margin).
func (m *Image) look(out *Image, v view, margin float64) {
	cx, cy := float64(out.Width)/2, float64(out.Height)/2
	across := taps(out.Width, m.Width, func(i int) float64 {
		return v.X + cx + (float64(i)+0.5-cx)*v.Scale + margin - 0.5
	})
	down := taps(out.Height, m.Height, func(i int) float64 {
		return v.Y + cy + (float64(i)+0.5-cy)*v.Scale + margin - 0.5
	})
	for c := range m.Planes {
		separable(out.Planes[c], m.Planes[c], m.Width, m.Height, across, down)
	}
}

// A tap is the four samples and weights that make one.
type tap struct {
	at     [4]int
	weight [4]float32
}

func taps(n, of int, at func(i int) float64) []tap {
	out := make([]tap, n)
	for i := range out {
		p := at(i)
		first := math.Floor(p)
		f := float32(p - first)
		for k := range 4 {
			out[i].at[k] = min(max(int(first)+k-1, 0), of-1)
		}
		out[i].weight = [4]float32{
			((2-f)*f - 1) * f / 2, ((3*f-5)*f*f + 2) / 2, ((4-3*f)*f + 1) * f / 2, (f - 1) * f * f / 2,
		}
	}
	return out
}

// separable applies taps across and down.
func separable(out, in []float32, width, height int, across, down []tap) {
	w := len(across)
	mid := make([]float32, w*height)
	rows(height, func(y int) {
		row := in[y*width:]
		for i, t := range across {
			mid[y*w+i] = row[t.at[0]]*t.weight[0] + row[t.at[1]]*t.weight[1] +
				row[t.at[2]]*t.weight[2] + row[t.at[3]]*t.weight[3]
		}
	})
	rows(len(down), func(y int) {
		t := down[y]
		a, b, c, d := mid[t.at[0]*w:], mid[t.at[1]*w:], mid[t.at[2]*w:], mid[t.at[3]*w:]
		for x := range w {
			out[y*w+x] = max(a[x]*t.weight[0]+b[x]*t.weight[1]+c[x]*t.weight[2]+d[x]*t.weight[3], 0)
		}
	})
}
