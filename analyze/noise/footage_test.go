package noise_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/stat"

	"stopledger/analyze"
	"stopledger/analyze/cells"
	"stopledger/analyze/noise"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
	"stopledger/decode/synth/footage"
)

// full runs the wide trials, whose figures are claimed.
func full() bool { return os.Getenv("STOPLEDGER_FULL") != "" }

// firstClaimed is the first seed on which no limit was set.
const firstClaimed = 50000

// A tally counts answers and those whose 95 % interval holds the truth.
type tally struct{ asked, answered, held int }

func (c *tally) count(low, high, truth float64, answered bool) {
	c.asked++
	if answered {
		c.answered++
		if low <= truth && truth <= high {
			c.held++
		}
	}
}

func (c *tally) String() string {
	return fmt.Sprintf("%d of %d answered, %d held (%.3f)", c.answered, c.asked, c.held, c.share())
}

func (c *tally) share() float64 { return float64(c.held) / float64(max(c.answered, 1)) }

// A coded is a codec with what was counted through it.
type coded struct {
	name                string
	how                 synth.Encoding
	answered            float64 // share of the clips whose floor is to be told
	tones, floor, still tally   // tones as recorded, floor, camera's SNR at those tones
}

// holds is the share of answers whose interval is to hold the truth.
const holds = 0.93

// TestFootage counts how often tones as recorded, floor and SNR of the camera hold the truth: of tones
// the temporal sigma of the decoded frames of a scene that stands still, of the camera that before the
// codec. Without STOPLEDGER_FULL it is a few scenes, of which nothing may be badly off.
func TestFootage(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	codecs := []*coded{
		{name: "ffv1.mkv", how: synth.Encoding{Codec: synth.FFV1}, answered: 0.95},
		{name: "prores.mov", how: synth.Encoding{Codec: synth.ProRes422}, answered: 0.5},
		{name: "dnxhr.mov", how: synth.Encoding{Codec: synth.DNxHR}, answered: 0.5},
		{name: "hevc.mov", how: synth.Encoding{Codec: synth.HEVC, Quality: 8}, answered: 0.5},
	}
	scenes, width, height := uint64(1), 384, 216
	if full() {
		scenes, width, height = 120, 640, 360
	}
	for seed := uint64(firstClaimed + 2); seed < firstClaimed+2+scenes; seed++ {
		trial := footage.NewTrial(seed, width, height, sLog3(t))
		if !full() {
			trial.Shot.Frames = 8
		}
		dir := t.TempDir()
		var copies []footage.Copy
		for _, c := range codecs {
			copies = append(copies, footage.Copy{Path: filepath.Join(dir, c.name), Encoding: c.how})
		}
		truth, err := footage.Record(trial.Camera, trial.Shot, copies...)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range codecs {
			c.judge(t, copies[i].Path, truth)
		}
	}
	for _, c := range codecs {
		t.Logf("%s: tones %v; floor %v; camera %v", c.name, &c.tones, &c.floor, &c.still)
		for name, one := range map[string]*tally{"tones": &c.tones, "floor": &c.floor, "camera": &c.still} {
			if least := holds; full() && one.share() < least {
				t.Errorf("%s: %s: %v", c.name, name, one)
			}
		}
		if full() && float64(c.floor.answered) < c.answered*float64(c.floor.asked) {
			t.Errorf("%s: floor %v", c.name, &c.floor)
		}
	}
}

func sLog3(t *testing.T) *curve.Curve {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// measureFile measures a file as S-Log3 and returns its noise.
func measureFile(t *testing.T, path string) (*noise.Result, curve.Reading, []trueCell) {
	t.Helper()
	clip, err := decode.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer clip.Close()
	reading := curve.Reading{Curve: sLog3(t), Bits: 10}
	how := metadata.Settled{Reading: reading, Matrix: curve.BT709}
	r, err := analyze.Clip(t.Context(), clip, how, analyze.Settings{Threads: 2}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return &r.Noise, reading, trueCells(t, clip)
}

// judge counts what a file's answers hold.
func (c *coded) judge(t *testing.T, path string, truth footage.Truth) {
	n, reading, all := measureFile(t, path)
	bounded := n.FloorBound != ""
	low := float64(n.FloorLow)
	if bounded {
		low = math.Inf(-1)
	}
	if curve.Finite(truth.Floor) {
		c.floor.count(low, float64(n.FloorHigh), float64(truth.Floor), curve.Finite(n.FloorHigh))
		if curve.Finite(n.FloorHigh) && n.FloorHigh < truth.Floor-1 {
			t.Errorf("%s: floor %.2f..%.2f, true %.2f", path, n.FloorLow, n.FloorHigh, truth.Floor)
		}
	}
	for _, tone := range n.Tones {
		told := curve.Finite(tone.SNR)
		if recorded := recordedSNR(tone, all, reading); told && !math.IsNaN(recorded) {
			c.tones.count(float64(tone.Low), float64(tone.High), recorded, told)
		}
		e, want := n.CameraSNR(tone.Recorded), float64(truth.At(tone.Recorded))
		if told && !math.IsNaN(want) {
			c.still.count(float64(e.Low), float64(e.High), want, curve.Finite(e.Low) && curve.Finite(e.High))
		}
	}
}

// A trueCell is the temporal noise of a cell over all decoded frames.
type trueCell struct{ code, variance, texture float64 }

// trueCells measures every pixel's variance over all frames, less 1/12 for rounding.
func trueCells(t *testing.T, clip *decode.Clip) (out []trueCell) {
	t.Helper()
	var values [][]float64
	var width int
	err := clip.Read(t.Context(), decode.ReadOptions{}, func(f *decode.Frame) error {
		p := f.Planes[0]
		width = p.Width
		frame := make([]float64, 0, p.Width*p.Height)
		for y := range p.Height {
			for _, v := range p.Row(y) {
				frame = append(frame, float64(v))
			}
		}
		values = append(values, frame)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	height := len(values[0]) / width
	for y := 0; y+cells.Size <= height; y += cells.Size {
		for x := 0; x+cells.Size <= width; x += cells.Size {
			out = append(out, trueCellOf(values, width, x, y))
		}
	}
	return out
}

func trueCellOf(values [][]float64, width, x, y int) trueCell {
	var means []float64
	var variance float64
	pixel := make([]float64, len(values))
	for i := range cells.Area {
		at := (y+i/cells.Size)*width + x + i%cells.Size
		for f := range values {
			pixel[f] = values[f][at]
		}
		m, v := stat.MeanVariance(pixel, nil)
		means = append(means, m)
		variance += v / cells.Area
	}
	mean, spread := stat.MeanVariance(means, nil)
	return trueCell{mean, variance - 1.0/12, math.Sqrt(max(spread-variance/float64(len(values)), 0))}
}

// recordedSNR is the SNR of a tone by the cells of one tone within a quarter stop, at the tone itself by
// a line through them where there are enough; NaN without one.
func recordedSNR(tone noise.Tone, all []trueCell, reading curve.Reading) float64 {
	var off, variance []float64
	for _, c := range all {
		code := curve.FileCode(c.code)
		stops := max(reading.Light(code).Stops(), noise.DarkestTone)
		stop := float64(reading.Light(code)) * math.Ln2 / reading.LightPerCode(code)
		d := float64(stops - max(tone.Recorded, noise.DarkestTone))
		if math.Abs(d) < 0.25 && c.texture <= max(0.2*stop, math.Sqrt(max(c.variance, 0))/2) {
			off, variance = append(off, d), append(variance, c.variance)
		}
	}
	if len(off) == 0 {
		return math.NaN()
	}
	v := stat.Mean(variance, nil)
	if len(off) >= 12 {
		v, _ = stat.LinearRegression(off, variance, nil, false)
	}
	return 20 * math.Log10(float64(tone.Light)/math.Sqrt(v)/reading.LightPerCode(reading.FileCode(tone.Code)))
}
