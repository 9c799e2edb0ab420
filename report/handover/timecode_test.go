package handover

import (
	"math/rand/v2"
	"testing"

	"stopledger/curve"
	"stopledger/report"
)

// Frames by their drop-frame time codes: numbers 0 and 1 are left out at each minute but every tenth (SMPTE ST
// 12-1), of 60 a second 0 to 3; so an hour of 29.97 a second has 107,892 frames.
func TestTimeCodes(t *testing.T) {
	for _, w := range []struct {
		rate   float64
		code   string
		frames int
	}{
		{24, "00:00:00:00", 0}, {24, "01:00:00:00", 86400}, {23.976, "01:00:00:00", 86400}, {25, "10:00:00:24", 900024},
		{29.97, "00:00:59;29", 1799}, {29.97, "00:01:00;02", 1800}, {29.97, "00:10:00;00", 17982},
		{29.97, "01:00:00;00", 107892}, {29.97, "01:00:00:00", 108000}, {29.97, "23:59:59;29", 2589407},
		{59.94, "00:01:00;04", 3600}, {59.94, "01:00:00;00", 215784}, {50, "00:00:01:49", 99},
	} {
		p := placeOf(&report.File{FrameRate: curve.Amount(w.rate), Timecode: w.code})
		if p.from != w.frames || p.words(w.frames) != w.code {
			t.Errorf("%g fps: %s is frame %d, want %d, which is %s", w.rate, w.code, p.from, w.frames, p.words(w.frames))
		}
	}
	for seed := range uint64(2000) {
		random := rand.New(rand.NewPCG(seed, 7))
		c := counting{[]int{24, 25, 30, 48, 50, 60}[random.IntN(6)], random.IntN(2) == 0}
		c.drop = c.drop && c.perSecond%30 == 0
		frame := random.IntN(24 * 3600 * c.perSecond * 99 / 100)
		back, drop := place{counting: c, every: 1}.counted(c.words(frame), c.perSecond)
		if back != frame || drop != c.drop {
			t.Fatalf("seed %d, %+v: frame %d is %s, which is %d", seed, c, frame, c.words(frame), back)
		}
	}
}

// What a clip does not say, or says wrong, is taken to be the least: it begins at zero, has a frame.
func TestPlacesOfClips(t *testing.T) {
	for _, w := range []struct {
		file                           report.File
		perSecond, from, frames, every int
	}{
		{report.File{}, 24, 0, 1, 1},
		{report.File{FrameRate: curve.Unknown[curve.Amount](), Timecode: "nonsense"}, 24, 0, 1, 1},
		{report.File{FrameRate: 24, Timecode: "01:00:00:99", Frames: 48}, 24, 0, 48, 1},
		{report.File{FrameRate: 25, Duration: 2}, 25, 0, 50, 1},
		{report.File{FrameRate: 25, Duration: curve.Unknown[curve.Seconds]()}, 25, 0, 1, 1},
		{report.File{FrameRate: 119.88, Timecode: "00:00:01:119", Frames: 240}, 60, 119, 120, 2},
		{report.File{FrameRate: 100, Timecode: "00:00:01:24", Frames: 100}, 50, 74, 50, 2},
		{report.File{FrameRate: 1e300, Frames: 3}, 24, 0, 3, 1},
	} {
		p := placeOf(&w.file)
		if p.perSecond != w.perSecond || p.from != w.from || p.frames != w.frames || p.every != w.every {
			t.Errorf("%+v: %+v", w.file, p)
		}
	}
}
