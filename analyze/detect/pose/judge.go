package pose

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"stopledger/analyze/detect"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// QuarterPitch is how far a found chart's corners may lie off, in pitches of the patches.
const QuarterPitch = 0.25

// closeStops is how far the placement of what was found may lie off: it reads its own light and not
// another's.
const closeStops curve.Stops = 0.3

// A Verdict is what the detector made of one posed scene.
type Verdict struct {
	Found bool        // something of the kind was found
	Fault string      // what is wrong with it; empty if it is right
	Off   curve.Stops // of its placement from the truth, without sign
}

func verdict(found bool, fault string, off curve.Stops) Verdict {
	if fault == "" && off > closeStops {
		fault = "reads another light"
	}
	return Verdict{found, fault, off}
}

// JudgeChart judges what was found in a scene with one chart.
func (p *Posed) JudgeChart(found detect.Findings) Verdict {
	if len(found.Charts) == 0 {
		return Verdict{}
	}
	chart, fault := found.Charts[0], ""
	pitch := math.Min(p.Corners.Side(0), p.Corners.Side(2)) / 6
	if off := chart.Corners.Farthest(p.Corners) / pitch; len(found.Charts) > 1 || off > QuarterPitch {
		fault = fmt.Sprintf("%d charts, corner off by %.2f pitch", len(found.Charts), off)
	}
	return verdict(true, fault, p.off(chart.Stops))
}

// JudgeCard judges what was found in a scene with one card: the surest must be it.
func (p *Posed) JudgeCard(found detect.Findings) Verdict {
	if len(found.Cards) == 0 {
		return Verdict{}
	}
	card, fault := found.Cards[0], ""
	at, want := card.Corners.Centre(), p.Corners.Centre()
	if !card.Corners.Contains(want) || !p.Corners.Contains(at) || len(found.Charts) > 0 {
		fault = fmt.Sprintf("card taken at %.0f for %.0f, %d charts", at, want, len(found.Charts))
	}
	return verdict(true, fault, p.off(card.Stops))
}

// JudgeEmpty judges what was found in a scene with nothing to find: anything is wrong.
func (p *Posed) JudgeEmpty(found detect.Findings) Verdict {
	n := len(found.Charts) + len(found.Cards) + len(found.Faces)
	if n == 0 {
		return Verdict{}
	}
	return Verdict{Found: true, Fault: fmt.Sprintf("%s: %d charts, %d cards, %d faces",
		p.kind(), len(found.Charts), len(found.Cards), len(found.Faces))}
}

// kind names the scene with neither card nor chart.
func (p *Posed) kind() string { return emptyKinds[p.Seed%uint64(len(emptyKinds))].name }

func (p *Posed) off(stops curve.Stops) curve.Stops {
	return curve.Stops(math.Abs(float64(stops - p.Stops)))
}

// A Tally counts verdicts, which may be taken in parallel.
type Tally struct {
	mutex  sync.Mutex
	Looked int       // scenes
	Found  int       // rightly
	Wrong  int       // found, but not rightly, or where nothing was
	off    []float64 // of what was rightly found, stops
}

// Take counts a verdict.
func (c *Tally) Take(v Verdict) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.Looked++
	switch {
	case v.Fault != "":
		c.Wrong++
	case v.Found:
		c.Found++
		c.off = append(c.off, float64(v.Off))
	}
}

// Off returns the median and the 95 % quantile of how far the placements of what was rightly found
// lie from the truth; unknown where nothing was.
func (c *Tally) Off() (middle, most curve.Stops) {
	sorted := slices.Sorted(slices.Values(c.off))
	return curve.Stops(robust.Median(sorted)), curve.Stops(robust.Quantile(sorted, 0.95))
}

// Each calls look for n seeds from first on, two at a time, and counts its verdicts.
func Each(first uint64, n int, look func(seed uint64) Verdict) *Tally {
	c := &Tally{}
	seeds := make(chan uint64)
	var workers sync.WaitGroup
	for range 2 {
		workers.Go(func() {
			for seed := range seeds {
				c.Take(look(seed))
			}
		})
	}
	for i := range uint64(n) {
		seeds <- first + i
	}
	close(seeds)
	workers.Wait()
	return c
}
