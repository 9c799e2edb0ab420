package analyze

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync/atomic"

	"stopledger/analyze/clipping"
	"stopledger/analyze/overlay"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/metadata"
)

// Clip measures a clip read as settled. A damaged clip is measured as far as it can be read:
// Result.Lost counts the frames that are missing. One whose picture changes is measured up to
// there: Result.Change says where. It fails only where not one frame could be
// measured. progress takes how much is done, 0..1, after each part of the work, which may be as much as
// before, by several goroutines at a time; it may be nil.
func Clip(ctx context.Context, clip Source, how metadata.Settled, set Settings,
	progress func(share float64)) (*Result, error) {
	set.Pictures = false
	r, _, err := ClipAndShots(ctx, clip, how, set, progress)
	return r, err
}

// ClipAndShots is Clip. Where the settings ask for pictures it keeps what Stills takes, which the caller releases.
func ClipAndShots(ctx context.Context, clip Source, how metadata.Settled, set Settings,
	progress func(share float64)) (*Result, *Shots, error) {
	m := &measurement{clip: clip, info: clip.Info(), how: how, set: set, table: how.Reading.Table(), progress: progress}
	if err := m.checkRegions(); err != nil {
		return nil, nil, err
	}
	defer func() { m.held.drop() }()
	if err := m.prepare(ctx); err != nil {
		return nil, nil, err
	}
	r, err := m.walk(ctx)
	m.report(scoutShare + walkShare)
	if err != nil {
		m.shots.Release()
		return nil, nil, err
	}
	return r, m.shots, nil
}

// A measurement is one clip being measured.
type measurement struct {
	clip     Source
	info     decode.Info
	how      metadata.Settled
	set      Settings
	table    *curve.Table
	progress func(share float64)
	share    atomic.Uint64 // last told, the bits of a float64: work that goes on beside tells it too

	search   *placement.Search // of the frames that were scouted
	groups   []group           // that sampling measures
	ceilings clipping.Ceilings
	overlays overlay.Result
	pairs    []clipping.Glance    // that were scouted
	held     held                 // of their frames
	shots    *Shots               // nil where none are wanted
	asked    int                  // frames to be scouted
	seen     int                  // of them, those that came
	walked   int                  // frames that were measured
	lost     int                  // frames that could not be decoded
	change   *decode.FormatChange // up to which the clip is read; nil without one
}

// checkRegions fails for a region that does not lie in the frame.
func (m *measurement) checkRegions() error {
	for _, p := range m.set.Regions {
		r := p.Region
		if r.X < 0 || r.Y < 0 || r.W < 1 || r.H < 1 || r.W > m.info.Width-r.X || r.H > m.info.Height-r.Y {
			return &decode.ClipError{Path: m.info.Path,
				What: fmt.Sprintf("the region does not lie inside the frame of %d x %d", m.info.Width, m.info.Height),
				Do:   "give --region x,y,w,h in pixels of the frame as coded"}
		}
	}
	return nil
}

// read reads frames and takes damage or a change of the picture as the end of the clip, unless
// nothing could be read.
func (m *measurement) read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	opt.Threads = m.set.Threads
	seen := m.walked > 0 || len(m.held.frames) > 0
	err := m.clip.Read(ctx, opt, func(f *decode.Frame) error {
		seen = true
		return visit(f)
	})
	var damage *decode.Damage
	var change *decode.FormatChange
	switch {
	case errors.As(err, &damage) && seen:
		m.lost = max(m.lost, damage.Lost)
	case errors.As(err, &change) && seen:
		m.change = change
	default:
		return err
	}
	return nil
}

// Scouting is a small part of the work, and so are pictures.
const (
	scoutShare = 0.05
	walkShare  = 0.9
)

// report tells how much is done.
func (m *measurement) report(share float64) {
	m.share.Store(math.Float64bits(share))
	m.getOn()
}

// getOn tells that the work gets on within a part that takes long, such as a large frame.
func (m *measurement) getOn() {
	if m.progress != nil {
		m.progress(math.Float64frombits(m.share.Load()))
	}
}

// result sums up what the instruments gathered.
func (m *measurement) result(all []instrument) *Result {
	r := &Result{Settled: m.how, Lost: m.lost, Change: m.change, LossyCodec: lossy(m.info), Overlays: m.overlays.Areas}
	for _, one := range all {
		one.sumUp(r)
		m.getOn()
	}
	r.Groups = len(r.Levels.Groups)
	for _, g := range r.Levels.Groups {
		r.Frames += g.Frames
	}
	r.Moments = m.moments(r)
	return r
}

// lossy tells whether a codec discards part of the picture. Unknown codecs count as lossy.
func lossy(i decode.Info) bool {
	switch i.Codec {
	case "ffv1", "v210", "rawvideo", "dpx", "tiff", "png", "huffyuv", "ffvhuff", "utvideo", "v410", "r210", "magicyuv":
		return false
	}
	return true
}
