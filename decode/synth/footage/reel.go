package footage

import (
	"stopledger/curve"
	"stopledger/decode/synth"
)

// A Reel makes the recorded frames of a shot, in order.
type Reel struct {
	cam     Camera
	shot    Shot
	stage   *stage
	process *process
	next    int
	last    synth.Planes
	clipped synth.ClipShares // sum over the exposures
	exposed int
}

// NewReel prepares a shot.
func NewReel(cam Camera, shot Shot) *Reel {
	return &Reel{cam: cam, shot: shot, stage: newStage(cam, shot), process: newProcess(cam)}
}

// Next returns the next frame as it is handed to the codec.
func (r *Reel) Next() synth.Planes {
	frame := r.next
	r.next++
	if frame > 0 && r.shot.moment(frame) == r.shot.moment(frame-1) {
		again := r.last
		again.Index, again.Time = frame, curve.Seconds(float64(frame)/r.shot.rate())
		return again
	}
	moment := r.shot.moment(frame)
	t := float64(moment) / r.shot.rate()
	p := r.develop(t, 2*moment, frame)
	if r.shot.Fields {
		weave(p, r.develop(t+0.5/r.shot.rate(), 2*moment+1, frame))
	}
	if r.shot.Eight {
		coarsen(p)
	}
	r.last = p
	return p
}

// develop returns the frame of a time; exposure numbers the exposures, for their noise.
func (r *Reel) develop(t float64, exposure, frame int) synth.Planes {
	d := r.process.frame(r.stage.light(t), r.shot.Seed, exposure, false)
	r.count(d.clipped)
	codes := d.codes
	if len(r.shot.Overlays) > 0 {
		codes = &Image{Width: codes.Width, Height: codes.Height}
		for c := range codes.Planes {
			codes.Planes[c] = append([]float32(nil), d.codes.Planes[c]...)
		}
		for _, o := range r.shot.Overlays {
			o.lay(codes, frame, float32(r.cam.Record.Reading().PerCode()))
		}
	}
	p := synth.Develop(r.cam.Record, codes.Planes)
	p.Index, p.Time = frame, curve.Seconds(float64(frame)/r.shot.rate())
	return p
}

func (r *Reel) count(s synth.ClipShares) {
	r.exposed++
	r.clipped.R += s.R
	r.clipped.G += s.G
	r.clipped.B += s.B
	r.clipped.Any += s.Any
	r.clipped.All += s.All
}
