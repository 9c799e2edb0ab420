package noise_test

import (
	"encoding/json"
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
func full() bool { return os.Getenv("STOPLEDGER_FULL") != "" || trialsDir() != "" }

// trialsDir is a folder of trials that are rendered already: NNNNN-ffv1.mkv, -prores.mov, -dnxhr.mov and
// -hevc.mov, and NNNNN.json with their truth. Without it they are rendered.
func trialsDir() string { return os.Getenv("STOPLEDGER_TRIALS") }

// firstClaimed is the first seed on which no limit was set.
const firstClaimed = 50000

// seeds returns which trials are counted: those asked for, or 200, or a single one every day.
func seeds(t *testing.T) (first, last uint64) {
	t.Helper()
	asked := os.Getenv("STOPLEDGER_SEEDS")
	switch {
	case asked != "":
		if n, err := fmt.Sscanf(asked, "%d-%d", &first, &last); n != 2 || err != nil {
			t.Fatalf("STOPLEDGER_SEEDS=%s: want FROM-TO", asked)
		}
		return first, last
	case full():
		return firstClaimed + 26, firstClaimed + 225
	}
	return firstClaimed + 2, firstClaimed + 2
}

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
	return fmt.Sprintf("%4d asked, %.3f answered, %.3f held", c.asked, c.shareAnswered(), c.share())
}

func (c *tally) shareAnswered() float64 { return float64(c.answered) / float64(max(c.asked, 1)) }
func (c *tally) share() float64         { return float64(c.held) / float64(max(c.answered, 1)) }

// A coded is a codec with what was counted through it.
type coded struct {
	name     string
	how      synth.Encoding
	answered float64 // share of the tones and floors that are to be told
	// Tones as recorded, of them those with a figure and not only a bound; the camera's floor; its SNR
	// at measured tones, and darker or brighter than them.
	tones, figures, floor, still, beyond tally
}

// cameraCodecs are the encodings through which trials are measured.
func cameraCodecs() []*coded {
	return []*coded{
		{name: "ffv1.mkv", how: synth.Encoding{Codec: synth.FFV1}, answered: 0.95},
		{name: "prores.mov", how: synth.Encoding{Codec: synth.ProRes422}, answered: 0.5},
		{name: "dnxhr.mov", how: synth.Encoding{Codec: synth.DNxHR}, answered: 0.5},
		{name: "hevc.mov", how: synth.Encoding{Codec: synth.HEVC, Quality: 8}, answered: 0.5},
	}
}

// holds is the share of answers whose interval is to hold the truth.
const holds = 0.93

// TestFootage counts how often tones as recorded, floor and SNR of the camera hold the truth: of tones
// the temporal sigma of the decoded frames of a scene that stands still, of the camera that before the
// codec. Without STOPLEDGER_FULL it is a single scene, of which nothing may be badly off.
func TestFootage(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	codecs := cameraCodecs()
	first, last := seeds(t)
	scenes := 0
	for seed := first; seed <= last; seed++ {
		paths, truth, ok := recorded(t, seed, codecs)
		if !ok {
			continue
		}
		scenes++
		for i, c := range codecs {
			c.judge(t, paths[i], truth)
		}
	}
	if scenes == 0 {
		t.Fatalf("no trial of seeds %d to %d in %s", first, last, trialsDir())
	}
	t.Logf("%d scenes, seeds %d to %d", scenes, first, last)
	for _, c := range codecs {
		c.check(t)
	}
}

// check prints what was counted, and fails where too little holds or is answered.
func (c *coded) check(t *testing.T) {
	for _, row := range []struct {
		name     string
		tally    *tally
		answered float64
	}{
		{"tones as recorded", &c.tones, c.answered},
		{"  with a figure", &c.figures, 0},
		{"floor", &c.floor, c.answered},
		{"camera, at tones", &c.still, 0},
		{"camera, beyond", &c.beyond, 0},
	} {
		t.Logf("%-10s  %-18s %v", c.name, row.name, row.tally)
		if full() && (row.tally.share() < holds || row.tally.shareAnswered() < row.answered) {
			t.Errorf("%s: %s: %v; %.2f are to hold, %.2f to be answered", c.name, row.name, row.tally, holds, row.answered)
		}
	}
}

// recorded returns a trial's clips, by codec, and its truth; false where the folder of trials has it not.
func recorded(t *testing.T, seed uint64, codecs []*coded) (paths []string, truth footage.Truth, ok bool) {
	t.Helper()
	if trialsDir() != "" {
		return rendered(t, seed, codecs)
	}
	width, height := 384, 216
	if full() {
		width, height = 640, 360
	}
	trial := footage.NewTrial(seed, width, height, sLog3(t))
	if !full() {
		trial.Shot.Frames = 8
	}
	paths, truth = record(t, trial, codecs)
	return paths, truth, true
}

// record records a trial through codecs.
func record(t *testing.T, trial footage.Trial, codecs []*coded) (paths []string, truth footage.Truth) {
	t.Helper()
	dir := t.TempDir()
	var copies []footage.Copy
	for _, c := range codecs {
		paths = append(paths, filepath.Join(dir, c.name))
		copies = append(copies, footage.Copy{Path: paths[len(paths)-1], Encoding: c.how})
	}
	truth, err := footage.Record(trial.Camera, trial.Shot, copies...)
	if err != nil {
		t.Fatal(err)
	}
	return paths, truth
}

// rendered finds a trial in the folder of trials.
func rendered(t *testing.T, seed uint64, codecs []*coded) (paths []string, truth footage.Truth, ok bool) {
	t.Helper()
	base := filepath.Join(trialsDir(), fmt.Sprintf("%05d", seed))
	text, err := os.ReadFile(base + ".json")
	if err != nil {
		return nil, truth, false
	}
	var told struct {
		Truth footage.Truth `json:"truth"`
	}
	if err := json.Unmarshal(text, &told); err != nil {
		t.Fatalf("%s.json: %v", base, err)
	}
	for _, c := range codecs {
		path := base + "-" + c.name
		if _, err := os.Stat(path); err != nil {
			return nil, truth, false
		}
		paths = append(paths, path)
	}
	return paths, told.Truth, true
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
	c.judgeFloor(t, path, n, truth.Floor)
	low, high := math.Inf(1), math.Inf(-1) // of the tones with a figure
	for _, tone := range n.Tones {
		told := curve.Finite(tone.SNR)
		if told {
			low, high = min(low, float64(tone.Recorded)), max(high, float64(tone.Recorded))
		}
		if recorded := recordedSNR(tone, all, reading); !math.IsNaN(recorded) {
			c.figures.count(float64(tone.Low), float64(tone.High), recorded, told)
			most := float64(tone.High)
			if curve.Finite(tone.Below) { // bounded from below
				most = math.Inf(1)
			}
			c.tones.count(float64(tone.Low), most, recorded, told || curve.Finite(tone.Below))
		}
		e, want := n.CameraSNR(tone.Recorded), float64(truth.At(tone.Recorded))
		if told && !math.IsNaN(want) {
			c.still.count(float64(e.Low), float64(e.High), want, curve.Finite(e.Low) && curve.Finite(e.High))
		}
		if told && contradicts(tone, e, n.Coding) {
			t.Errorf("%s: %.1f dB at %+.2f stops, the camera's %.1f", path, tone.SNR, tone.Recorded, e.Value)
		}
	}
	c.judgeBeyond(n, reading, truth, low, high)
}

// contradicts tells whether a tone's figure and the camera's have nothing in common once coding is allowed
// for, nor are as near as 10 %, within which a camera is called linear (noise's own limit).
func contradicts(tone noise.Tone, camera noise.Estimate, coding noise.Coding) bool {
	slack := curve.Decibels(20 * math.Log10(1.1))
	return tone.Low-coding.High-slack > camera.High || tone.High-coding.Low+slack < camera.Low
}

func (c *coded) judgeFloor(t *testing.T, path string, n *noise.Result, truth curve.Stops) {
	if !curve.Finite(truth) {
		return
	}
	low := float64(n.FloorLow)
	if n.FloorBound != "" {
		low = math.Inf(-1)
	}
	c.floor.count(low, float64(n.FloorHigh), float64(truth), curve.Finite(n.FloorHigh))
	if curve.Finite(n.FloorHigh) && n.FloorHigh < truth-1 {
		t.Errorf("%s: floor %.2f..%.2f, true %.2f", path, n.FloorLow, n.FloorHigh, truth)
	}
}

// judgeBeyond counts the camera's SNR darker and brighter than the tones with a figure, up to 70 % of
// the ceiling, where a sensor's noise is linear (EMVA 1288 release 4.0).
func (c *coded) judgeBeyond(n *noise.Result, reading curve.Reading, truth footage.Truth, low, high float64) {
	top := math.Inf(1)
	for _, ceiling := range truth.Ceilings {
		top = min(top, 0.7*float64(reading.Light(reading.FileCode(ceiling))))
	}
	for _, tone := range truth.Tones {
		if at := float64(tone.Recorded); at >= low && at <= high || float64(tone.Recorded.Light()) > top {
			continue
		}
		e := n.CameraSNR(tone.Recorded)
		c.beyond.count(float64(e.Low), float64(e.High), float64(tone.SNR()), curve.Finite(e.Value))
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
