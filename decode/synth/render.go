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

// band renders rows from..to into the planes.
func (r *Renderer) band(p Planes, frame, from, to int) (n ClipCount) {
	rows, below := newRows(r.cam.Width), newRows(r.cam.Width)
	grain := newGrainRows(&r.sensor)
	for y := from; y < to; y++ {
		dst := rows
		if r.cam.Sampling == S420 && y%2 == 1 {
			dst = below
		}
		r.light(dst, frame, y)
		n.add(r.sensor.expose(dst, frame, y, grain))
		for c := range dst {
			r.tone.Encode(dst[c])
		}
		switch {
		case r.cam.Sampling == RGB:
			r.dev.rgb(dst, p, y)
			continue
		case r.cam.Sampling != S420:
			r.dev.luma(dst, p, y)
			r.dev.chroma(dst, nil, p, y)
			continue
		}
		r.dev.luma(dst, p, y)
		if y%2 == 1 {
			r.dev.chroma(rows, below, p, y/2)
		}
	}
	return n
}
