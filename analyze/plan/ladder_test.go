package plan_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/plan"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

// A stage is a synthetic camera's gain stage: photosites read at a base ISO.
type stage struct {
	from  int // ISO
	sites synth.Photosite
}

// at returns the camera at an ISO.
func at(cam synth.Camera, iso int, stages []stage) synth.Camera {
	for _, s := range stages {
		if s.from <= iso {
			s.sites.BaseISO, s.sites.ISO = float64(s.from), float64(iso)
			cam.Noise, cam.Ceiling = s.sites.Noise(), s.sites.Ceiling()
		}
	}
	return cam
}

// twoBases is a sensor that is switched at ISO 12800: as many electrons for light, a sixteenth of the full
// well, less read noise.
func twoBases() []stage {
	base := curve.Stops(5.5).Light()
	return []stage{{800, synth.Photosite{FullWell: 80000, ReadE: 6, BaseCeiling: base}},
		{12800, synth.Photosite{FullWell: 80000 / 16, ReadE: 2, BaseCeiling: base}}}
}

const width, height = 480, 270

// take measures what a camera records of a tone wedge with a grey card, so many stops over nominal; of nothing
// where the lens is capped.
func take(t *testing.T, cam synth.Camera, iso int, stops curve.Stops, capped bool) (plan.Take, synth.Truth) {
	t.Helper()
	scene := synth.ToneWedge(width, height)
	if capped {
		scene = synth.Scene{Name: "capped", Parts: []synth.Part{synth.Fill{}}}
	}
	seed := 50000 + uint64(iso)*31 + uint64(10*stops)
	film := testframes.Expose(t, cam, synth.Shot{Scene: scene, Seed: seed, Frames: 8, Stops: stops})
	how := metadata.Settled{Reading: cam.Reading(), Matrix: cam.Matrix}
	set := analyze.Settings{Threads: 2, EveryFrame: true}
	if !capped {
		card := geometry.Rect{X: width*2/5 + 10, Y: height*64/100 + 8, W: width/5 - 20, H: height/4 - 16}
		set.GreyFrom = placement.GreyFrom{Grey: placement.Region, Reflectance: curve.MidGrey,
			Regions: []placement.Patch{{Region: card, Reflectance: curve.MidGrey}}}
	}
	r, err := analyze.Clip(context.Background(), film, how, set, nil)
	if err != nil {
		t.Fatal(err)
	}
	return plan.Take{Path: fmt.Sprintf("%d at %+.1f", iso, stops), ISO: iso, Curve: cam.Curve.Name,
		Light: curve.Unknown[curve.Stops](), Placement: r.Placement, Clipping: &r.Clipping, Noise: &r.Noise,
		Scene: r.Levels.Scene.P99}, film.Truth
}

// A camera of two base ISOs is found out: its bases, read and shot noise within 10 % and within their
// intervals, the ceiling, and the ISO above which gain brings nothing; over-exposing by light is told from
// over-exposing by ISO; and the plan's placement is the one of the true parameters within 0.1 stops.
func TestTwoBases(t *testing.T) {
	if testing.Short() {
		t.Skip("renders a ladder")
	}
	cam := synth.NewCamera(width, height, testframes.Curve(t, "S-Log3"))
	var takes []plan.Take
	truth := map[int]synth.Truth{}
	for _, iso := range []int{800, 6400, 12800, 25600} {
		for _, stops := range []curve.Stops{0, 1} {
			one, made := take(t, at(cam, iso, twoBases()), iso, stops, false)
			takes, truth[iso] = append(takes, one), made
		}
	}
	p, err := plan.Measure(takes, cam.Reading())
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(p.BaseISOs) != "[800 12800]" || p.NoGainAbove == nil || *p.NoGainAbove != 12800 {
		t.Errorf("bases %v, no gain above %v", p.BaseISOs, p.NoGainAbove)
	}
	for _, one := range p.ISOs {
		checkISO(t, one, truth[one.ISO], 0.10)
	}
	for _, e := range p.Exposures {
		over := curve.Stops(0)
		if e.Placement > 0.5 {
			over = 1
		}
		gain := curve.Stops(math.Log2(float64(e.ISO) / float64(e.Base)))
		if math.Abs(float64(e.Gain-gain)) > 1e-9 || math.Abs(float64(e.Light+e.Gain-over)) > 0.03 {
			t.Errorf("%+v", e)
		}
	}
	checkPlan(t, p, truth, cam)
}

// checkISO compares an ISO of a profile with the truth.
func checkISO(t *testing.T, one plan.ISO, made synth.Truth, tolerance float64) {
	t.Helper()
	n, ceiling := made.Noise, made.Reading.Stops(made.Reading.FileCode(made.CeilingLuma))
	t.Logf("ISO %5d: read %.3g (%.3g..%.3g) true %.3g %+.1f %%; shot %.3g (%.3g..%.3g) true %.3g %+.1f %%; floor %.2f "+
		"(%.2f..%.2f) true %.2f; ceiling %.2f (%s) true %.2f", one.ISO, one.Read, one.ReadLow, one.ReadHigh, n.Read,
		100*(one.Read/n.Read-1), one.Shot, one.ShotLow, one.ShotHigh, n.Shot, 100*(one.Shot/n.Shot-1), one.Floor,
		one.FloorLow, one.FloorHigh, made.FloorStops, one.Ceiling, one.Origin, ceiling)
	if math.Abs(float64(one.Read/n.Read-1)) > tolerance || math.Abs(float64(one.Shot/n.Shot-1)) > tolerance {
		t.Errorf("ISO %d: read %.4g, true %.4g; shot %.4g, true %.4g", one.ISO, one.Read, n.Read, one.Shot, n.Shot)
	}
	if n.Read < one.ReadLow || n.Read > one.ReadHigh || n.Shot < one.ShotLow || n.Shot > one.ShotHigh {
		t.Errorf("ISO %d: an interval does not hold the truth", one.ISO)
	}
}

// checkPlan compares the plan of a profile with that of the true parameters.
func checkPlan(t *testing.T, p *plan.Profile, truth map[int]synth.Truth, cam synth.Camera) {
	t.Helper()
	scene := plan.Scene{Low: -4, High: 3}
	var exact []plan.Sensor
	for _, s := range p.Sensors() {
		made := truth[s.ISO]
		s.Noise = noise.Camera{Read: made.Noise.Read, Shot: made.Noise.Shot}
		s.Ceiling = made.Reading.Stops(made.Reading.FileCode(made.CeilingLuma))
		exact = append(exact, s)
	}
	got := plan.Make(plan.Request{Reading: cam.Reading(), Scene: scene, Sensors: p.Sensors()})
	want := plan.Make(plan.Request{Reading: cam.Reading(), Scene: scene, Sensors: exact})
	for i := range got.Choices {
		g, w := got.Choices[i], want.Choices[i]
		t.Logf("ISO %5d: placement %+.3f, exact %+.3f", *g.ISO, g.Placement, w.Placement)
		if math.Abs(float64(g.Placement-w.Placement)) > 0.1 {
			t.Errorf("ISO %d: placement %+.3f, the optimum is %+.3f", *g.ISO, g.Placement, w.Placement)
		}
	}
}
