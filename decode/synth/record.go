package synth

import (
	"fmt"
	"strings"
)

// Record renders a shot and writes it to path, whose extension chooses the container. A
// sequence's path holds a %06d (or the like) for the frame number, from 0. The file appears
// under its name only when it is complete.
func Record(path string, cam Camera, shot Shot, enc Encoding) (Truth, error) {
	r, err := NewRenderer(cam, shot)
	if err != nil {
		return Truth{}, err
	}
	muxer, err := enc.container(path)
	if err != nil {
		return Truth{}, err
	}
	var s sink
	if recipes[enc.Codec].sequence {
		if !strings.Contains(path, "%") {
			return Truth{}, fmt.Errorf("synth: %s: a sequence needs a frame number in its name, like take_%%06d", path)
		}
		s, err = newSequence(path, cam, shot, enc)
	} else {
		s, err = newClip(path, muxer, cam, shot, enc)
	}
	if err != nil {
		return Truth{}, fmt.Errorf("synth: %s: %w", path, err)
	}
	t, err := r.record(s)
	if err != nil {
		s.abandon()
		return Truth{}, fmt.Errorf("synth: %s: %w", path, err)
	}
	return t, nil
}

// A sink takes frames in order and makes a file, or files, of them.
type sink interface {
	add(Planes) error
	finish() error // complete, under the final name
	abandon()      // leave nothing behind
}

// record renders ahead of the encoder by a frame.
func (r *Renderer) record(s sink) (Truth, error) {
	frames := make(chan Planes)
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		defer close(frames)
		for i := range r.shot.Frames {
			select {
			case frames <- r.Frame(i):
			case <-stop:
				return
			}
		}
	}()
	t := r.Truth()
	for p := range frames {
		t.Count(p)
		if err := s.add(p); err != nil {
			return Truth{}, err
		}
	}
	return t, s.finish()
}
