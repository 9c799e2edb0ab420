package synth

import (
	"errors"
	"fmt"
	"strings"

	"stopledger/decode"
	"stopledger/decode/synth/encode"
)

// Record renders a shot and writes it to path, whose extension chooses the container. A
// sequence's path holds a %06d (or the like) for the frame number, from 0. The file appears
// under its name only when it is complete.
func Record(path string, cam Camera, shot Shot, enc Encoding) (Truth, error) {
	r, err := NewRenderer(cam, shot)
	if err != nil {
		return Truth{}, err
	}
	s, err := openSink(path, cam, shot, enc)
	if err != nil {
		return Truth{}, fmt.Errorf("synth: %s: %w", path, err)
	}
	t, err := r.record(s)
	if err != nil {
		s.Abandon()
		return Truth{}, fmt.Errorf("synth: %s: %w", path, err)
	}
	return t, nil
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

// openSink begins the file, or the numbered files, of a shot.
func openSink(path string, cam Camera, shot Shot, enc Encoding) (sink, error) {
	muxer, err := enc.container(path)
	if err != nil {
		return nil, err
	}
	if !recipes[enc.Codec].sequence {
		return encode.NewClip(path, muxer, enc.settings(cam, shot))
	}
	if !strings.Contains(path, "%") {
		return nil, errors.New("a sequence needs a frame number in its name, like take_%06d")
	}
	return encode.NewSequence(path, enc.settings(cam, shot))
}

// A sink takes frames in order and makes a file, or files, of them.
type sink interface {
	Add(*decode.Frame) error
	Finish() error // complete, under the final name
	Abandon()      // leave nothing behind
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
		if err := s.Add(p.Frame()); err != nil {
			return Truth{}, err
		}
	}
	return t, s.Finish()
}
