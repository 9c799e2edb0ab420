package clipping

import (
	"stopledger/analyze/cells"
	"stopledger/curve"
	"stopledger/decode"
)

// sums are what is gathered in one group of frames. They are kept apart by group and added up in
// order at the end, so that merging in any order gives the same bits.
type sums struct {
	group      int
	histograms [3]histogram
	hues       hues
	whites     whites
	surveys    []*cells.Survey // one a pair of frames
	single     bool            // a frame beside itself: its noise is not known
	samples    float64         // of one channel
	gray       bool            // there is luma only
	rounding   [3]float64      // variance that rounding of Y', Cb and Cr leaves in a channel, (10-bit code)^2
}

// newSums starts the sums of a group with its first frame, whose channels have these factors.
func newSums(frame *decode.Frame, r curve.Reading, c curve.Chroma, lossy bool) *sums {
	s := &sums{group: frame.Group, gray: frame.Layout == decode.Gray, whites: newWhites(frame, r.PerCode(), lossy)}
	for i, variance := range cells.Rounding(frame, c) {
		s.histograms[i] = newHistogram()
		s.rounding[i] = float64(r.Variance(variance))
	}
	return s
}

// add compares two frames, some rows at a time. told is called after each of those; it may be nil.
func (s *sums) add(now, was *cells.ChannelReader, fileCodes float64, told func()) {
	survey := s.surveys[len(s.surveys)-1]
	defer survey.Finish()
	s.whites.next()
	for y := 0; y < now.Height; y += cells.Size {
		rgb, before := now.Block(y), was.Block(y)
		for i := range rgb {
			s.histograms[i].compare(rgb[i], before[i], fileCodes)
		}
		survey.Add(y, now.Width, rgb, before)
		s.hues.add(rgb, fileCodes)
		s.whites.add(y, now.Width, rgb, before, fileCodes)
		s.samples += float64(len(rgb[0]))
		if told != nil {
			told()
		}
	}
}

// merge adds the sums of another group.
func (s *sums) merge(other *sums) {
	for i := range s.histograms {
		s.histograms[i].merge(&other.histograms[i])
	}
	s.hues.merge(&other.hues)
	s.whites.merge(&other.whites)
	s.samples += other.samples
	s.surveys = append(s.surveys, other.surveys...)
	s.single = s.single || other.single
	s.gray, s.rounding = other.gray, other.rounding
}
