package match

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/still"
	"stopledger/curve"
	"stopledger/decode/synth/footage"
)

var (
	pairs = flag.Int("pairs", 2, "random pairs of pictures to match; 40 and more are for claims")
	first = flag.Uint64("first", 60000, "seed of the first")
)

const width, height = 480, 270

// viewOf is a frame of a trial as a clip without grey, and its exposure.
func viewOf(t testing.TB, seed uint64, frame footage.Motion, stops curve.Stops) Clip {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	trial := footage.NewTrial(seed, width, height, c)
	trial.Shot.Motion, trial.Shot.Stops = frame, stops
	trial.Shot.Seed = seed + uint64(100*math.Abs(float64(stops)))
	reel := footage.NewReel(trial.Camera, trial.Shot)
	f := reel.Next().Frame()
	r := curve.Reading{Curve: c, Bits: 10}
	var ceilings [3]curve.FileCode
	for i, code := range reel.Truth().Ceilings {
		ceilings[i] = r.FileCode(code) - 2
	}
	camera := still.NewCamera(r.Table(), curve.BT709, ceilings)
	return Clip{View: camera.Reduced(f, 320), Floor: curve.Unknown[curve.Stops]()}
}

// framed looks at a scene from another place: shifted by some pixels, and nearer or farther.
func framed(x, y, scale float64) footage.Motion {
	return func(float64) (float64, float64, float64) { return x, y, scale }
}

// TestRandomPairs: two takes of one random scene that differ in exposure and framing give what lies
// between their exposures within 0.05 stops, and their intervals hold it; takes of different scenes are
// refused.
func TestRandomPairs(t *testing.T) {
	if testing.Short() {
		t.Skip("renders many frames")
	}
	var matched, near, held, tried, strangers, parted, told int
	worst := 0.0
	for i := range uint64(*pairs) {
		seed := *first + i
		rng := rand.New(rand.NewPCG(seed, 5))
		at := curve.Stops(-0.5 + 2*rng.Float64())
		by := curve.Stops(3 * (rng.Float64() - 0.5))
		scale := math.Exp2(0.5 * (rng.Float64() - 0.5))
		a := viewOf(t, seed, footage.Tripod, at)
		b := viewOf(t, seed, framed(60*(rng.Float64()-0.5), 40*(rng.Float64()-0.5), scale), at+by)
		kind := footage.NewTrial(seed, width, height, nil).Kind
		o := Match(a, b)
		other := viewOf(t, seed+500_000, footage.Tripod, at+by)
		u := Match(a, other)
		if u.By != "" {
			strangers++
			t.Logf("seed %d: unrelated matched %.3f (%.3f..%.3f)", seed, u.Stops, u.Low, u.High)
		}
		if Differ(a, b) {
			parted++
			t.Logf("seed %d %s: two takes of one scene are said to differ", seed, kind)
		}
		if Differ(a, other) {
			told++
		}
		tried++
		t.Logf("seed %d: correlation %.2f, of strangers %.2f", seed, register(a, b).correlation,
			register(a, other).correlation)
		if o.By == "" {
			t.Logf("seed %d %s by %.2f scale %.2f: %s", seed, kind, by, scale, o.Reason)
			continue
		}
		matched++
		off := math.Abs(float64(o.Stops - by))
		worst = math.Max(worst, off)
		if off <= 0.05 {
			near++
		}
		if o.Low <= by && by <= o.High {
			held++
		}
		t.Logf("seed %d %s: by %.3f, said %.3f (%.3f..%.3f)", seed, kind, by, o.Stops, o.Low, o.High)
	}
	t.Logf("%d tried, %d matched, %d within 0.05, %d held, worst %.3f, %d unrelated matched", tried, matched, near, held,
		worst, strangers)
	t.Logf("%d takes of one scene said to show two, %d of different scenes told", parted, told)
	if float64(parted) > 0.02*float64(tried) {
		t.Errorf("%d of %d takes of one scene are said to show different ones", parted, tried)
	}
	const most = 0.05 // of matched pairs may lie further off; of few none may
	if float64(matched-near) > most*float64(matched) {
		t.Errorf("%d of %d pairs are not within 0.05 stops", matched-near, matched)
	}
	if float64(matched) < 0.75*float64(tried) { // a bare wall in another framing shows nothing to match by
		t.Errorf("%d of %d pairs are refused", tried-matched, tried)
	}
	if float64(matched-held) > 0.07*float64(matched) {
		t.Errorf("%d of %d intervals do not hold the truth", matched-held, matched)
	}
	if float64(strangers) > 0.01*float64(tried) {
		t.Errorf("%d of %d pairs of different scenes are matched", strangers, tried)
	}
}
