package shoot

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/plan"
	"stopledger/cmd/internal/audit"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
	realfootage "stopledger/testdata/footage"
)

func TestArguments(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("1600=b.mov", nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for said, want := range map[string]Argument{
		"a.mov": {"a.mov", 0}, "800=a.mov": {"a.mov", 800}, "1600=b.mov": {"1600=b.mov", 0},
		"take=1.mov": {"take=1.mov", 0}, "-5=a.mov": {"-5=a.mov", 0}, "800=": {"800=", 0}, "800=x=y.mov": {"x=y.mov", 800},
	} {
		if got := ParseArgument(said); got != want {
			t.Errorf("%s: %+v, want %+v", said, got, want)
		}
	}
}

// Light follows the exposure equation: a stop of shutter, of iris and of ND count alike.
func TestLightOf(t *testing.T) {
	setting := func(v metadata.Setting) *metadata.Setting { return &v }
	shutter, nd := curve.Seconds(1.0/50), curve.Stops(2)
	base := (&metadata.Camera{ShutterS: &shutter, IrisF: setting(2.8)}).Light(25)
	for name, c := range map[string]struct {
		m    metadata.Camera
		want curve.Stops
	}{
		"iris": {metadata.Camera{ShutterS: &shutter, IrisT: setting(5.6)}, -2},
		"nd":   {metadata.Camera{ShutterS: &shutter, IrisF: setting(2.8), NDStops: &nd}, -2},
		"180":  {metadata.Camera{ShutterAngleDeg: setting(180), IrisF: setting(2.8)}, 0},
		"90":   {metadata.Camera{ShutterAngleDeg: setting(90), IrisF: setting(2.8)}, -1},
	} {
		if got := c.m.Light(25) - base; math.Abs(float64(got-c.want)) > 1e-9 {
			t.Errorf("%s: %+.3f, want %+.1f", name, got, c.want)
		}
	}
	if curve.Finite((&metadata.Camera{IrisF: setting(2.8)}).Light(25)) {
		t.Error("light is told without a shutter")
	}
}

// measured measures a clip as profile does.
func measured(t *testing.T, path string, iso int, set analyze.Settings) plan.Take {
	t.Helper()
	set.Threads, set.EveryFrame = 2, true
	c, err := audit.Measure(context.Background(), audit.Job{Path: path, Settings: set, Progress: func(float64) {}})
	if err != nil {
		t.Fatal(err)
	}
	one, err := TakeOf(&c, iso)
	if err != nil {
		t.Fatal(err)
	}
	return one
}

func named(c *curve.Curve) metadata.ReadAs {
	return metadata.ReadAs{Curve: metadata.CurveName{Given: c.Name, Curve: c}}
}

// The EMVA 1288 reference set 002 (8-bit CMOS): its gain lies at 0.0180 to 0.0195 DN an electron, as sound
// recipes of the same standard give, and its dark noise, which 8 bits hide, is told as a bound: 0.5 DN.
func TestReferenceSensor(t *testing.T) {
	path := realfootage.Path(t, "emva002/mosaic48_linear8.mkv")
	linear := curve.New(curve.Line(1, 0), 1)
	linear.Name, linear.Range = "linear", curve.Full
	set := analyze.Settings{ReadAs: named(linear)}
	set.Range = metadata.FullRange
	reading := curve.Reading{Curve: linear, Range: curve.Full, Bits: 8}
	p, err := plan.Measure([]plan.Take{measured(t, path, 100, set)}, reading)
	if err != nil {
		t.Fatal(err)
	}
	const top = 255 // DN of light 1
	one := p.ISOs[0]
	gain, low, high := one.Shot*top, one.ShotLow*top, one.ShotHigh*top
	t.Logf("gain %.5f (%.5f to %.5f) DN an electron; dark noise %.3f (%.3f to %.3f) DN; %v", gain, low, high,
		one.Read*top, one.ReadLow*top, one.ReadHigh*top, p.Notes)
	if gain < 0.0180 || gain > 0.0195 {
		t.Errorf("gain %.5f DN an electron", gain)
	}
	if one.ReadLow != 0 || math.Abs(float64(one.ReadHigh*top)-0.5) > 0.01 {
		t.Errorf("dark noise from %.3f to %.3f DN", one.ReadLow*top, one.ReadHigh*top)
	}
}

const width, height = 640, 360

// site is a sensor that is switched at ISO 12800 where it has two base ISOs: as many electrons for light, a
// sixteenth of the full well, less read noise.
func site(iso int, twoBases bool) synth.Photosite {
	p := synth.Photosite{FullWell: 80000, ReadE: 6, BaseISO: 800, BaseCeiling: curve.Stops(5.5).Light()}
	if twoBases && iso >= 12800 {
		p.FullWell, p.ReadE, p.BaseISO = p.FullWell/16, 2, 12800
	}
	p.ISO = float64(iso)
	return p
}

// ladder records and measures takes at several ISOs and exposures.
func ladder(t *testing.T, codec synth.Codec, twoBases bool, seed uint64) ([]plan.Take, map[int]synth.Truth) {
	t.Helper()
	var takes []plan.Take
	log, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	truth := map[int]synth.Truth{}
	card := geometry.Rect{X: width*2/5 + 12, Y: height*64/100 + 10, W: width/5 - 24, H: height/4 - 20}
	set := analyze.Settings{ReadAs: named(log), GreyFrom: placement.GreyFrom{Grey: placement.Region,
		Reflectance: curve.MidGrey, Regions: []placement.Patch{{Region: card, Reflectance: curve.MidGrey}}}}
	extension := map[synth.Codec]string{synth.FFV1: "mkv", synth.ProRes422: "mov"}[codec]
	for _, iso := range []int{800, 3200, 12800, 25600} {
		cam := synth.NewCamera(width, height, log)
		s := site(iso, twoBases)
		cam.Noise, cam.Ceiling = s.Noise(), s.Ceiling()
		for i, stops := range []curve.Stops{0, 1.5} {
			path := filepath.Join(t.TempDir(), fmt.Sprintf("%d-%d.%s", iso, i, extension))
			made, err := synth.Record(path, cam, synth.Shot{Scene: synth.ToneWedge(width, height), Frames: 12, Stops: stops,
				Seed: seed + uint64(iso) + uint64(i)}, synth.Encoding{Codec: codec})
			if err != nil {
				t.Fatal(err)
			}
			truth[iso] = made
			takes = append(takes, measured(t, path, iso, set))
		}
	}
	return takes, truth
}

// Cameras of one and two base ISOs are found out through files: base ISOs, and read and shot noise, within 10 %
// without loss and inside their intervals through ProRes 422 HQ; the plan's placement is that of the true
// parameters within 0.1 stops.
func TestLadders(t *testing.T) {
	if os.Getenv("STOPLEDGER_FULL") == "" {
		t.Skip("records and measures 32 takes; set STOPLEDGER_FULL=1")
	}
	for _, codec := range []synth.Codec{synth.FFV1, synth.ProRes422} {
		for _, two := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, two bases %v", codec, two), func(t *testing.T) {
				takes, truth := ladder(t, codec, two, 50000)
				checkLadder(t, takes, truth, two, codec == synth.FFV1)
			})
		}
	}
}

func checkLadder(t *testing.T, takes []plan.Take, truth map[int]synth.Truth, two, lossless bool) {
	reading := truth[800].Reading
	p, err := plan.Measure(takes, reading)
	if err != nil {
		t.Fatal(err)
	}
	bases, above := "[800]", 800
	if two {
		bases, above = "[800 12800]", 12800
	}
	told := p.NoGainAbove // through a codec it may not be
	if fmt.Sprint(p.BaseISOs) != bases || told == nil && lossless || told != nil && *told != above {
		t.Errorf("bases %v, no gain above %v; %v", p.BaseISOs, p.NoGainAbove, p.Notes)
	}
	exact := []plan.Sensor{}
	for _, one := range p.ISOs {
		made := truth[one.ISO]
		n, ceiling := made.Noise, made.Reading.Stops(made.Reading.FileCode(made.CeilingLuma))
		t.Logf("ISO %5d: read %.3g (%.3g..%.3g) true %.3g %+.1f %%; shot %.3g (%.3g..%.3g) true %.3g %+.1f %%; ceiling %.2f "+
			"true %.2f", one.ISO, one.Read, one.ReadLow, one.ReadHigh, n.Read, 100*(one.Read/n.Read-1), one.Shot, one.ShotLow,
			one.ShotHigh, n.Shot, 100*(one.Shot/n.Shot-1), one.Ceiling, ceiling)
		if n.Read < one.ReadLow || n.Read > one.ReadHigh || n.Shot < one.ShotLow || n.Shot > one.ShotHigh {
			t.Errorf("ISO %d: an interval does not hold the truth", one.ISO)
		}
		off := math.Max(math.Abs(float64(one.Read/n.Read-1)), math.Abs(float64(one.Shot/n.Shot-1)))
		if lossless && off > 0.10 {
			t.Errorf("ISO %d: %.0f %% off", one.ISO, 100*off)
		}
		exact = append(exact, plan.Sensor{ISO: one.ISO, Ceiling: ceiling, Noise: noise.Camera{Read: n.Read, Shot: n.Shot}})
	}
	q := plan.Request{Reading: reading, Scene: plan.Scene{Low: -4, High: 3}, Sensors: p.Sensors()}
	got := plan.Make(q)
	q.Sensors = exact
	for i, want := range plan.Make(q).Choices {
		t.Logf("ISO %5d: placement %+.3f, exact %+.3f", *want.ISO, got.Choices[i].Placement, want.Placement)
		if math.Abs(float64(got.Choices[i].Placement-want.Placement)) > 0.1 {
			t.Errorf("ISO %d: placement %+.3f, the optimum is %+.3f", *want.ISO, got.Choices[i].Placement, want.Placement)
		}
	}
	for _, n := range p.Notes {
		t.Log(n)
		if strings.Contains(n, "shot noise before gain") {
			t.Errorf("it doubts the gain: %s", n)
		}
	}
}
