package synth

import "fmt"

// Develop returns a frame of R', G', B' file codes, row by row and not rounded: the camera's
// matrix, sampling, rounding and code limits.
func Develop(c Camera, codes [3][]float32) Planes {
	p, d := newPlanes(c), newDeveloper(c)
	upper, lower := newRows(c.Width), newRows(c.Width)
	for y := range c.Height {
		dst := upper
		if c.Sampling == S420 && y%2 == 1 {
			dst = lower
		}
		for i := range dst {
			copy(dst[i], codes[i][y*c.Width:(y+1)*c.Width])
		}
		switch {
		case c.Sampling == RGB:
			d.rgb(dst, p, y)
			continue
		case c.Sampling != S420:
			d.luma(dst, p, y)
			d.chroma(dst, nil, p, y)
			continue
		}
		d.luma(dst, p, y)
		if y%2 == 1 {
			d.chroma(upper, lower, p, y/2)
		}
	}
	return p
}

// Encode writes frames made one after another to path, as Record does with a shot's: of shot only
// the number of frames and the rate are used.
func Encode(path string, cam Camera, shot Shot, enc Encoding, frame func(i int) Planes) error {
	if err := cam.check(); err != nil {
		return err
	}
	s, err := openSink(path, cam, shot, enc)
	if err != nil {
		return fmt.Errorf("synth: %s: %w", path, err)
	}
	for i := range shot.Frames {
		if err := s.Add(frame(i).Frame()); err != nil {
			s.Abandon()
			return fmt.Errorf("synth: %s: %w", path, err)
		}
	}
	return s.Finish()
}
