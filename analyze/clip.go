package analyze

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"stopledger/analyze/find"
	"stopledger/curve"
	"stopledger/decode"
)

// Which frames are measured unless every frame is asked for: enough groups to see a clip change,
// enough consecutive frames in each to see noise, flicker and what a codec carries over.
const (
	groupsMeasured = 12
	framesPerGroup = 8
	// mostCloser bounds the groups that get a closer look.
	mostCloser = 4
	// everyGroups and leastChunk cut a clip into groups where every frame is measured.
	everyGroups = 48
	leastChunk  = 12
	// unknownFrames is how long a clip is taken for that does not say: a minute or two.
	unknownFrames = 48 * 48
)

// A Source is a clip's frames: a *decode.Clip, or frames in memory.
type Source interface {
	Info() decode.Info
	Read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error
}

// Clip measures a clip. A damaged clip is measured as far as it can be read: Result.Lost counts
// the frames that are missing. It fails only where not one frame could be measured.
func Clip(ctx context.Context, clip Source, set Settings) (*Result, error) {
	m := newMeasurement(clip, set)
	if err := m.checkPatches(); err != nil {
		return nil, err
	}
	if err := m.scout(ctx); err != nil {
		return nil, err
	}
	if err := m.walk(ctx); err != nil {
		return nil, err
	}
	r := m.result()
	for _, s := range m.groups {
		s.detail = nil // the largest of what was gathered, and used up
	}
	if set.Pictures {
		if err := m.takeStills(ctx, r); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// A measurement is one clip being measured.
type measurement struct {
	clip    Source
	info    decode.Info
	set     Settings
	scale   *toneScale
	table   []float64 // scene-linear light by file code
	grid    grid
	perCell float64 // chroma samples in a whole cell
	finder  *ceilingFinder
	ceiling Ceiling
	groups  []*groupSums
	luma    grain // of the noise, once it is measured
	scouted int
	found   []find.Findings // of the frames searched for grey
	lost    int
}

func newMeasurement(clip Source, set Settings) *measurement {
	scale := newToneScale(set.Reading)
	return &measurement{clip: clip, info: clip.Info(), set: set, scale: scale, table: scale.linear}
}

func (m *measurement) checkPatches() error {
	if inside(m.set.Patches, m.info.Width, m.info.Height) {
		return nil
	}
	return &decode.ClipError{Path: m.info.Path,
		What: fmt.Sprintf("the region does not lie inside the frame of %d x %d", m.info.Width, m.info.Height),
		Do:   "give --region x,y,w,h in pixels of the frame as coded"}
}

// plan returns the groups to measure, nil for every frame.
func (m *measurement) plan() []decode.Span {
	if m.set.EveryFrame || m.info.Frames <= 0 {
		return nil
	}
	return decode.Groups(m.info.Frames, groupsMeasured, framesPerGroup)
}

// scout looks at the first two frames of each group: for the ceiling, and for grey.
func (m *measurement) scout(ctx context.Context) error {
	m.finder = newCeilingFinder(m.set.Reading, m.set.Matrix)
	defer m.finder.drop()
	spans := decode.Groups(max(m.info.Frames, 2), m.groupsScouted(), framesPerGroup)
	for i := range spans {
		spans[i].Count = min(spans[i].Count, 2)
	}
	m.finder.lossy = lossy(m.info)
	last := -1
	err := m.read(ctx, decode.ReadOptions{Spans: spans, Threads: m.set.Threads}, func(f *decode.Frame) error {
		if m.scouted == 0 {
			m.layOut(f)
		}
		if f.Group != last {
			m.look(f)
		}
		m.finder.add(f, f.Group == last)
		last = f.Group
		m.scouted++
		return nil
	})
	if err != nil {
		return err
	}
	if m.finder.samples == 0 {
		m.finder.single()
	}
	m.ceiling = m.finder.find()
	return nil
}

// groupsScouted is fewer where every frame is measured: the groups are then no places to agree
// with, and each frame decoded twice counts.
func (m *measurement) groupsScouted() int {
	if m.set.EveryFrame {
		return groupsMeasured / 4
	}
	return groupsMeasured
}

func (m *measurement) layOut(f *decode.Frame) {
	m.grid = newGrid(f.Planes[0].Width, f.Planes[0].Height)
	m.perCell = cellArea
	if f.Layout == decode.YCbCr {
		m.perCell = cellArea / float64(f.SubX()*f.SubY())
		m.grid.samples = float64(f.Planes[1].Width * f.Planes[1].Height)
	}
	for i := range m.finder.rounding {
		m.finder.rounding[i] = m.channelRounding(i) / m.finder.scale / m.finder.scale
	}
}

// read reads frames and takes damage as the end of the clip, unless nothing could be read.
func (m *measurement) read(ctx context.Context, opt decode.ReadOptions, visit func(*decode.Frame) error) error {
	err := m.clip.Read(ctx, opt, visit)
	var damage *decode.Damage
	if errors.As(err, &damage) && damage.Frames > 0 {
		m.lost = max(m.lost, damage.Lost)
		return nil
	}
	return err
}

// walk measures the groups.
func (m *measurement) walk(ctx context.Context) error {
	w := newWalker(m.grid, m.perCell, m.set, m.ceiling.thresholds(m.finder.chroma))
	defer w.drop()
	opt := decode.ReadOptions{Spans: m.plan(), Threads: m.set.Threads}
	groups := len(opt.Spans)
	if opt.Spans == nil {
		frames := m.info.Frames
		if frames <= 0 {
			frames = unknownFrames
		}
		opt.Chunk = max(leastChunk, (frames+everyGroups-1)/everyGroups)
		groups = (frames + opt.Chunk - 1) / opt.Chunk
	}
	closer := mostCloser
	if m.set.EveryFrame {
		closer /= 2 // more of the time goes into the walk, which says more
	}
	closerEach := max((groups+closer-1)/closer, 1)
	last := -1
	err := m.read(ctx, opt, func(f *decode.Frame) error {
		if f.Group != last {
			m.finish(w)
			w.begin(f.Group, f.Time, f.Group%closerEach == 0)
			last = f.Group
		}
		w.add(f)
		m.progress(f)
		return nil
	})
	m.finish(w)
	if err == nil && len(m.groups) == 0 {
		return &decode.ClipError{Path: m.info.Path, What: "not one frame could be measured", Do: "check that the clip plays"}
	}
	return err
}

// progress tells how far the walk is; scouting and pictures are a small part.
func (m *measurement) progress(f *decode.Frame) {
	if m.set.Progress != nil && m.info.Frames > 0 {
		m.set.Progress(0.05 + 0.9*min(float64(f.Index+1)/float64(m.info.Frames), 1))
	}
}

func (m *measurement) finish(w *walker) {
	if w.sums != nil {
		m.groups = append(m.groups, w.end())
	}
}

// result turns the sums into results; pure but for the measurement's own fields. Groups are taken
// in order, so that sums of floating point are the same bits whatever order they were measured in.
func (m *measurement) result() *Result {
	slices.SortFunc(m.groups, func(a, b *groupSums) int { return a.group - b.group })
	r := &Result{Reading: m.set.Reading, Matrix: m.set.Matrix, Groups: len(m.groups), Lost: m.lost}
	for _, s := range m.groups {
		r.Frames += s.frames
	}
	rate := m.info.FrameRate()
	r.Highlights = measureHighlights(m.groups, m.grid, m.finder, m.ceiling, m.perCell, rate)
	r.Histogram = histogramOf(m.groups, m.set.Reading)
	r.Scene = sceneOf(m.groups, m.set.Reading)
	r.Placement = m.placement()
	r.Noise = m.noise()
	r.Moments = m.moments(r.Placement)
	r.Variation = m.variation(r.Placement)
	r.Doubts = m.doubts()
	if d := m.chartDoubt(r.Placement); d != nil {
		r.Doubts = append(r.Doubts, *d)
	}
	r.facts = Facts{Target: m.set.Target, Noise: &r.Noise, Highlights: r.Highlights, Variation: r.Variation,
		Reading: m.set.Reading, LossyCodec: lossy(m.info), Doubts: r.Doubts}
	r.lifts = m.set.Lifts
	r.Place(r.Placement)
	return r
}

// Place takes a placement, measured or carried over from another clip, and works out the advice
// and the graded noise anew.
func (r *Result) Place(p *Placement) {
	r.Placement, r.facts.Placement = p, p
	r.facts.Doubts = r.Doubts
	r.Advice = Advise(r.facts)
	r.Noise.Graded = nil
	if p != nil && !p.Weak {
		r.Noise.Graded = gradeAll(&r.Noise, p.Stops, r.Advice.Correction(), r.lifts)
		r.Advice.Findings = append(r.Advice.Findings, visibleNoise(r.Noise.Graded)...)
	}
}

// noise merges the groups' tones and fits the model. The correlation of noise says how many
// samples a cell is worth.
func (m *measurement) noise() Noise {
	r := m.set.Reading
	n := Noise{Floor: math.NaN(), FloorSNR2: math.NaN(), Usable: math.NaN(), GrainPx: math.NaN(),
		ChannelGrain: [3]float64{math.NaN(), math.NaN(), math.NaN()}}
	var table toneTable
	var looked, pairs int
	for _, s := range m.groups {
		table.merge(s.noise)
		looked += s.looked
		pairs = max(pairs, s.pairs)
	}
	luma := m.lumaGrain(table.tones(worth{1, whiteGrain}))
	n.GrainPx, m.luma = luma.length, luma
	n.Tones = table.tones(worth{overlap(pairs), luma})
	if looked > 0 {
		n.RejectedShare = 1 - table.used()/float64(looked)
	}
	for i := range m.set.Patches {
		n.Patches = append(n.Patches, patchNoise(m.groups, i, luma))
	}
	m.patterns(&n, luma)
	m.channelNoise(&n)
	n.Codec = measureCodec(m.groups, table)
	n.Codec.Coarse = luma.coarse
	n.Suppressed = n.Codec.suppression(m.info.LongGOP)
	ceiling := r.Linear(m.ceiling.Code)
	if n.Suppressed != "" {
		n.ModelReason = "the recording hides the noise"
		return n
	}
	n.Model, n.ModelReason = fitModel(n.Tones, ceiling, m.codingLoss())
	n.Floor, n.FloorSNR2 = floorOf(n.Tones, n.Model, 1), floorOf(n.Tones, n.Model, 2)
	n.Usable = curve.ToStops(ceiling) - n.Floor
	return n
}

// codingLoss is what the clip's codec may take off the variance of one file code of noise.
func (m *measurement) codingLoss() float64 {
	if !lossy(m.info) {
		return 0
	}
	return codingLoss * math.Exp2(float64(m.set.Reading.Bits)-10)
}

// moments returns one entry a group.
func (m *measurement) moments(p *Placement) []Moment {
	at := map[float64]float64{}
	if p != nil && !p.Weak {
		for _, s := range p.Series {
			at[s.T] = s.Stops
		}
	}
	var out []Moment
	for _, s := range m.groups {
		placement, ok := at[s.t]
		if !ok {
			placement = math.NaN()
		}
		tones := s.noise.tones(worth{overlap(s.pairs), m.luma})
		model, _ := fitModel(tones, m.set.Reading.Linear(m.ceiling.Code), m.codingLoss())
		out = append(out, Moment{T: s.t, Placement: placement, Level: logAverage(s.hist, m.set.Reading),
			Floor: floorOf(tones, model, 1), Clipped: s.clippedShares(m.grid.samples).Any})
	}
	return out
}

func (m *measurement) variation(p *Placement) Variation {
	var moments []levelAt
	var frames [][]frameLevel
	for _, s := range m.groups {
		moments = append(moments, levelAt{s.t, logAverage(s.hist, m.set.Reading)})
		frames = append(frames, s.levels)
	}
	if p != nil && p.Method != "scene" && len(p.Series) == len(moments) {
		for i, s := range p.Series {
			moments[i] = levelAt{s.T, s.Stops}
		}
	}
	sort.Slice(moments, func(i, j int) bool { return moments[i].t < moments[j].t })
	return measureVariation(moments, frames, m.info.FrameRate())
}

// lossy tells whether a codec discards part of the picture. Unknown codecs count as lossy.
func lossy(i decode.Info) bool {
	switch i.Codec {
	case "ffv1", "v210", "rawvideo", "dpx", "tiff", "png", "huffyuv", "ffvhuff", "utvideo", "v410", "r210", "magicyuv":
		return false
	}
	return true
}
