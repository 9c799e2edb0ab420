package shoot

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/placement"
	"stopledger/analyze/plan"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
	"stopledger/decode/synth/footage"
)

// Cameras as cameras are made, with a colour filter array, resampled, with patterns: base ISOs are found, and
// at each tone that a plan asks for the camera's true SNR lies inside the profile's interval, or within half a
// decibel, which a photon transfer of two parameters leaves where patterns and resampling add to it.
func TestFootageCameras(t *testing.T) {
	if os.Getenv("STOPLEDGER_FULL") == "" {
		t.Skip("renders and measures 16 takes; set STOPLEDGER_FULL=1")
	}
	log, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	const width, height = 480, 270
	card := geometry.Rect{X: width*2/5 + 12, Y: height*64/100 + 10, W: width/5 - 24, H: height/4 - 20}
	set := analyze.Settings{ReadAs: named(log), GreyFrom: placement.GreyFrom{Grey: placement.Region,
		Reflectance: curve.MidGrey, Regions: []placement.Patch{{Region: card, Reflectance: curve.MidGrey}}}}
	takes, truth := map[synth.Codec][]plan.Take{}, map[int]footage.Truth{}
	for _, iso := range []int{800, 3200, 12800} {
		cam := footage.NewCamera(width, height, log, 5.5)
		site := site(iso, true)
		cam.Sensor.FullWell, cam.Sensor.ReadE, cam.Vignette = site.FullWell, site.ReadE, 0
		cam.Sensor.Ceiling *= float64(site.ISO) / site.BaseISO
		for i, stops := range []curve.Stops{0, 1.5} {
			shot := footage.Shot{Stops: stops, Frames: 12, Seed: uint64(50000 + iso + i), Scene: func(w, h int) footage.Scene {
				return footage.Scene{Still: synth.ToneWedge(w, h).Parts}
			}}
			name := filepath.Join(t.TempDir(), fmt.Sprintf("%d-%d", iso, i))
			copies := []footage.Copy{{Path: name + ".mkv", Encoding: synth.Encoding{Codec: synth.FFV1}},
				{Path: name + ".mov", Encoding: synth.Encoding{Codec: synth.ProRes422}}}
			made, err := footage.Record(cam, shot, copies...)
			if err != nil {
				t.Fatal(err)
			}
			truth[iso] = made
			for _, c := range copies {
				takes[c.Encoding.Codec] = append(takes[c.Encoding.Codec], measured(t, c.Path, iso, set))
			}
		}
	}
	for codec, of := range takes {
		t.Run(string(codec), func(t *testing.T) { checkFootage(t, of, truth, log) })
	}
}

func checkFootage(t *testing.T, takes []plan.Take, truth map[int]footage.Truth, log *curve.Curve) {
	p, err := plan.Measure(takes, curve.Reading{Curve: log, Bits: 10})
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(p.BaseISOs) != "[800 12800]" {
		t.Errorf("bases %v; %v", p.BaseISOs, p.Notes)
	}
	for _, one := range p.ISOs {
		made := truth[one.ISO]
		for at := curve.Stops(-4); at <= 2; at++ {
			got, want := one.CameraSNR(at), made.At(at)
			if !curve.Finite(want) || want < 6 { // a plan asks for 20 dB and more
				continue
			}
			t.Logf("ISO %5d at %+.0f: %.2f (%.2f to %.2f) dB, true %.2f", one.ISO, at, float64(got.Value), float64(got.Low),
				float64(got.High), float64(want))
			low, high := min(got.Low, got.Value-0.5), max(got.High, got.Value+0.5)
			if math.Abs(float64(got.Value-want)) > 1.5 {
				t.Errorf("ISO %d at %+.0f: %.2f dB, true %.2f", one.ISO, at, float64(got.Value), float64(want))
			}
			if math.IsNaN(float64(got.Value)) || want < low || want > high {
				t.Errorf("ISO %d at %+.0f: %.2f (%.2f to %.2f) dB, true %.2f", one.ISO, at, float64(got.Value),
					float64(got.Low), float64(got.High), float64(want))
			}
		}
	}
	for _, n := range p.Notes {
		t.Log(n)
	}
}
