package detect

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"stopledger/analyze/detect/pyramid"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// A Kind is what a detection is taken for, the better evidence of grey first.
type Kind int

// The kinds of evidence.
const (
	ChartKind Kind = iota
	CardKind
	FaceKind
)

var kindNames = [...]string{ChartKind: "chart", CardKind: "card", FaceKind: "face"}

// String returns chart, card or face.
func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return fmt.Sprintf("kind %d", int(k))
	}
	return kindNames[k]
}

// MarshalText writes chart, card or face.
func (k Kind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (k *Kind) UnmarshalText(text []byte) error {
	i := slices.Index(kindNames[:], string(text))
	if i < 0 {
		return fmt.Errorf("no kind of evidence is named %q; use %s", text, strings.Join(kindNames[:], ", "))
	}
	*k = Kind(i)
	return nil
}

// A Sighting is one detection in one frame of a clip.
type Sighting struct {
	Detection
	Index int           // of the frame
	Time  curve.Seconds // of the frame
	Chart *Chart        // of its kind, else nil
}

// An Evidence is what several frames of a clip agree on: one thing, seen in one place or moving
// steadily, or elsewhere with the very same value, as a card in the hand is.
type Evidence struct {
	Kind       Kind        // what it is taken for
	Stops      curve.Stops // median of the sightings
	Error      curve.Stops // one standard error of it: how well the thing is known, and how they scatter
	Reading    curve.Stops // of it, what reading leaves: how they scatter, and the noise within one
	Confidence curve.Ratio // 0..1
	Sightings  []Sighting  // in order of time
	Best       Sighting    // the surest of them
}

// Agree gathers the findings of a clip's frames into evidence, the best first: charts before cards
// before faces, then by confidence. Frames may come in any order.
func Agree(frames []Findings) []Evidence { return defaults.Agree.agree(frames) }

func (p *AgreeParams) agree(frames []Findings) []Evidence {
	frames = slices.Clone(frames)
	slices.SortStableFunc(frames, func(a, b Findings) int { return cmp.Compare(a.Index, b.Index) })
	var found []Evidence
	for _, kind := range []Kind{ChartKind, CardKind, FaceKind} {
		var tracks []*Evidence
		for i := range frames {
			tracks = p.follow(tracks, sightings(&frames[i], kind), kind)
		}
		for _, e := range tracks {
			e.conclude(len(frames), p)
			found = append(found, *e)
		}
	}
	slices.SortStableFunc(found, func(a, b Evidence) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(b.Confidence, a.Confidence),
			cmp.Compare(len(b.Sightings), len(a.Sightings)))
	})
	return found
}

// sightings lists the detections of one kind in a frame.
func sightings(f *Findings, kind Kind) (all []Sighting) {
	add := func(d Detection, c *Chart) { all = append(all, Sighting{d, f.Index, f.Time, c}) }
	switch kind {
	case ChartKind:
		for i := range f.Charts {
			add(f.Charts[i].Detection, &f.Charts[i])
		}
	case CardKind:
		for i := range f.Cards {
			add(f.Cards[i].Detection, nil)
		}
	case FaceKind:
		for i := range f.Faces {
			add(f.Faces[i].Detection, nil)
		}
	}
	return all
}

// follow adds a frame's sightings to the tracks that they continue, each to the nearest; what
// continues none starts its own.
func (p *AgreeParams) follow(tracks []*Evidence, seen []Sighting, kind Kind) []*Evidence {
	taken := map[*Evidence]bool{}
	for _, s := range seen {
		var best *Evidence
		least := math.Inf(1)
		for _, t := range tracks {
			if d := t.distance(s, p); d < least && !taken[t] {
				best, least = t, d
			}
		}
		if best == nil {
			best = &Evidence{Kind: kind}
			tracks = append(tracks, best)
		}
		taken[best] = true
		best.Sightings = append(best.Sightings, s)
	}
	return tracks
}

// distance is how far a sighting lies from where a track would be, in units of its size and of
// the stops that it may differ by; infinite for another thing.
func (e *Evidence) distance(s Sighting, p *AgreeParams) float64 {
	n := len(e.Sightings)
	last := &e.Sightings[n-1]
	size, was := math.Sqrt(s.Corners.Area()), math.Sqrt(last.Corners.Area())
	if !(size < p.MostGrowth*was && was < p.MostGrowth*size) {
		return math.Inf(1)
	}
	at, expected := s.Corners.Centre(), last.Corners.Centre()
	off := at.Distance(expected) / was
	if n > 1 && s.Index > last.Index {
		before := &e.Sightings[n-2]
		step := expected.Sub(before.Corners.Centre())
		share := float64(s.Index-last.Index) / float64(max(last.Index-before.Index, 1))
		off = math.Min(off, at.Distance(expected.Add(step.Scale(share)))/was)
	}
	differ := math.Abs(float64(s.Stops - last.Stops))
	if off < p.VerySamePlace && math.Abs(size/was-1) < p.VerySamePlace {
		return off + differ/p.SameStops // an iris was pulled, or the light changed
	}
	if differ > p.SameStops || off > 1 && differ > p.VerySameStops {
		return math.Inf(1)
	}
	return math.Min(off, p.MostOff) + differ/p.SameStops
}

// conclude sums up the sightings; looked is the number of frames searched.
func (e *Evidence) conclude(looked int, p *AgreeParams) {
	var stops []float64
	var known float64
	e.Best = e.Sightings[0]
	for _, s := range e.Sightings {
		stops = append(stops, float64(s.Stops))
		known += float64(s.Error*s.Error) / float64(len(e.Sightings))
		e.Confidence += s.Confidence / curve.Ratio(len(e.Sightings))
		if s.Confidence > e.Best.Confidence {
			e.Best = s
		}
	}
	middle := robust.Median(stops)
	off := make([]float64, len(stops))
	for i, v := range stops {
		off[i] = math.Abs(v - middle)
	}
	// What is not known of the card does not average out; what the frames scatter does.
	scatter := robust.Median(off) / pyramid.NormalMAD / math.Sqrt(float64(len(stops)))
	e.Stops, e.Error = curve.Stops(middle), curve.Stops(math.Sqrt(known+scatter*scatter))
	e.Reading = curve.Stops(math.Hypot(scatter, float64(e.Best.Reading)))
	if len(e.Sightings) == 1 && looked > p.LoneFrames {
		e.Confidence *= curve.Ratio(p.LoneWorth)
	}
}
