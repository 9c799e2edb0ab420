package handover

import (
	"fmt"
	"math"
	"regexp"
	"strconv"

	"stopledger/report"
)

// A counting is how an edit list counts frames: so many a second, with or without dropped numbers (SMPTE
// ST 12-1).
type counting struct {
	perSecond int
	drop      bool
}

// A place is a clip as an edit list has it.
type place struct {
	counting
	from   int     // its first frame's time code, as a count of frames
	frames int     // 1 or more
	rate   float64 // frames a second, as recorded
	every  int     // frames of the clip to one that is counted: 1, or more above 60 a second
}

// usualRate is taken for a clip that tells no frame rate.
const usualRate = 24

// fastest is the largest number of frames a second that time codes of edit lists count.
const fastest = 60

// placeOf returns a clip's place. A clip without a time code begins at zero, and one of unknown length
// has a frame.
func placeOf(f *report.File) place {
	p := place{rate: float64(f.FrameRate), every: 1}
	if !(p.rate >= 0.5 && p.rate < 1e5) {
		p.rate = usualRate
	}
	p.perSecond = int(math.Round(p.rate))
	for p.perSecond/p.every > fastest {
		p.every *= 2
	}
	whole := p.perSecond
	p.perSecond = max(1, whole/p.every)
	if p.frames = f.Frames; p.frames <= 0 {
		if length := float64(f.Duration) * p.rate; length < 1e9 {
			p.frames = int(math.Round(length))
		}
	}
	p.frames = max(1, p.frames/p.every)
	p.from, p.drop = p.counted(f.Timecode, whole)
	return p
}

var timecode = regexp.MustCompile(`^([0-9]{2}):([0-9]{2}):([0-9]{2})([:;.,])([0-9]{2,3})$`)

// counted reads a time code whose frames are of the clip, or as many as are counted.
func (p place) counted(said string, whole int) (frames int, drop bool) {
	m := timecode.FindStringSubmatch(said)
	if m == nil {
		return 0, false
	}
	var v [4]int
	for i, at := range []int{1, 2, 3, 5} {
		v[i], _ = strconv.Atoi(m[at])
	}
	if v[3] >= p.perSecond && v[3] < whole {
		v[3] /= p.every
	}
	if v[0] > 23 || v[1] > 59 || v[2] > 59 || v[3] >= p.perSecond {
		return 0, false
	}
	minutes := 60*v[0] + v[1]
	frames = (60*minutes+v[2])*p.perSecond + v[3]
	drop = m[4] == ";" && p.perSecond%30 == 0
	if drop {
		frames -= p.perSecond / 15 * (minutes - minutes/10)
	}
	return frames, drop
}

// words write a count of frames as a time code, which begins anew after 24 hours.
func (c counting) words(frames int) string {
	between := ":"
	if c.drop {
		between = ";"
		dropped := c.perSecond / 15
		minute, ten := 60*c.perSecond-dropped, 600*c.perSecond-9*dropped
		tens, rest := frames/ten, frames%ten
		frames += 9 * dropped * tens
		if rest >= 60*c.perSecond {
			frames += dropped * (1 + (rest-60*c.perSecond)/minute)
		}
	}
	seconds := frames / c.perSecond
	return fmt.Sprintf("%02d:%02d:%02d%s%02d", seconds/3600%24, seconds/60%60, seconds%60, between,
		frames%c.perSecond)
}
