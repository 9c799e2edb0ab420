package synth

import "sync"

// Frame renders one frame.
func (r *Renderer) Frame(frame int) Planes {
	p := newPlanes(r.cam)
	p.Index, p.Time = frame, r.shot.Time(frame)
	var mu sync.Mutex
	var clipped ClipCount
	r.bands(func(from, to int) {
		n := r.band(p, frame, from, to)
		mu.Lock()
		defer mu.Unlock()
		clipped.add(n)
	})
	p.Clipped = clipped
	return p
}

// band renders rows from..to into the planes; from is even.
func (r *Renderer) band(p Planes, frame, from, to int) (n ClipCount) {
	pair := newRowPair(r.cam.Width)
	grain := newGrainRows(&r.sensor)
	for y := from; y < to; y++ {
		dst := pair[y%2]
		r.light(dst, frame, y)
		n.add(r.sensor.expose(dst, frame, y, grain))
		for c := range dst {
			r.tone.Encode(dst[c])
		}
		r.dev.row(pair, p, y)
	}
	return n
}

// Develop returns a frame of R', G', B' file codes, row by row and not rounded: the camera's
// matrix, sampling, rounding and code limits.
func Develop(c Camera, codes [3][]float32) Planes {
	p, d := newPlanes(c), newDeveloper(c)
	pair := newRowPair(c.Width)
	for y := range c.Height {
		for i, row := range pair[y%2] {
			copy(row, codes[i][y*c.Width:(y+1)*c.Width])
		}
		d.row(pair, p, y)
	}
	return p
}

func newRowPair(width int) [2]*[3][]float32 { return [2]*[3][]float32{newRows(width), newRows(width)} }
