package footage

import (
	"fmt"

	"stopledger/decode/synth"
)

// A Copy is one file that a shot is written to.
type Copy struct {
	Path     string // its extension chooses the container
	Encoding synth.Encoding
}

// Record makes the frames of a shot once, writes them to each copy and returns their truth.
func Record(cam Camera, shot Shot, copies ...Copy) (Truth, error) {
	reel := NewReel(cam, shot)
	frames := make([]synth.Planes, shot.Frames)
	for i := range frames {
		frames[i] = reel.Next()
	}
	plain := synth.Shot{Frames: shot.Frames, RateNum: int(shot.rate())}
	for _, c := range copies {
		err := synth.Encode(c.Path, cam.Record, plain, c.Encoding, func(i int) synth.Planes { return frames[i] })
		if err != nil {
			return Truth{}, fmt.Errorf("footage: %w", err)
		}
	}
	return reel.Truth(), nil
}
