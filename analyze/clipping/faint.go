package clipping

import (
	"math"

	"stopledger/curve"
)

// Lamps and glints put few samples at the ceiling, most of them near an edge, where coding and the
// filter of chroma samples throw them over several codes and change them more than noise does. Such
// a peak alone is not believed. It is where another channel has one at the same code, although the
// light around is coloured: a lamp's own colour keeps channels apart until they clip. It is, too,
// at the end of the codes, where nothing can lie above. The limits are common practice, no source,
// tried on the synthetic camera.
const (
	faintLeast            = peakLeast / 4 // least share of samples: a dozen of a 1080p 4:2:0 frame
	codedReach            = 5             // codes that coding throws samples near edges, either side
	sameCode   curve.Code = 1             // codes within which peaks of channels are the same
	sameCoded  curve.Code = 4             // the same, where coding moves them
	drowning              = 2.0           // coding hides noise where it changes samples so many times as much
	apart      curve.Code = 15            // codes between channels, on the average, of coloured light
)

// A faint is a channel's peak that is not believed alone.
type faint struct {
	peak
	found   bool // there is one
	still   bool // noise collapses in it, or would not show
	drowned bool // coding hides noise in it
	known   bool // the channel's ceiling is known already
}

// faint looks for a peak in the channel whatever its noise, and whatever lies above it.
func (s spectrum) faint(samples float64, lossy bool) faint {
	at, sharp := s.sharpest(samples, faintLeast)
	if sharp < sharpUnseen {
		return faint{}
	}
	still, _ := s.collapse(at)
	p := peak{code: s.centre(at), from: s.from(at)}
	return faint{peak: p, found: true, still: still, drowned: lossy && s.drowned(at)}
}

// drowned tells whether coding changes the samples of a peak much more than noise would. It does
// so near edges, at any level, so the quietest codes below tell the noise.
func (s spectrum) drowned(at int) bool {
	here, _, _ := s.noise(at)
	quietest := math.Inf(1)
	const half = peakBelow * perCode / 2
	for below := at - (s.reach+1)*perCode - half; below > half; below -= half {
		n := window(s.pairs, below, half)
		there := window(s.change, below, half)/max(n, 1)/2 - s.rounding
		if n < wellPopulated || there <= 0 {
			continue
		}
		_, likely := s.carry(there, below, at)
		quietest = min(quietest, likely)
	}
	return here > drowning*quietest
}

// support tells whether two peaks at the same code speak for each other. Where coding hides their
// noise, hue has to: the codes between the channels in the light just below.
func (p faint) support(q faint, hue curve.Code) bool {
	if p.still && q.still {
		return true
	}
	return (p.still || p.drowned) && (q.still || q.drowned) && math.Abs(float64(hue)) >= float64(apart)
}
