package audit

import (
	"math"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// A card of a day, that others may take their grey from.
func dayCard() *report.Clip {
	iso := metadata.Setting(800)
	return &report.Clip{File: report.File{Path: "day/card.mov"}, Camera: &metadata.Camera{ISO: &iso},
		Curve:     report.Curve{Name: "S-Log3"},
		Placement: &placement.Placement{Stops: 1, Low: 0.9, High: 1.1, Method: placement.Card, Reflectance: 0.36, Code: 500}}
}

// nextClip is what was measured of a clip after it, with no grey of its own.
func nextClip(t *testing.T, bits int) *Measurement {
	t.Helper()
	c, err := curve.Find("slog3")
	if err != nil {
		t.Fatal(err)
	}
	m := &Measurement{Info: decode.Info{Path: "day/next.mov"}, Said: metadata.Record{Camera: dayCard().Camera}}
	m.Result.Placement = &placement.Placement{Weak: true, Stops: -2, Candidates: []placement.Candidate{{Note: "own"}}}
	m.Result.Settled.Reading = curve.Reading{Curve: c, Bits: bits}
	m.Result.Noise.Tones = []noise.Tone{{Recorded: -3}}
	return m
}

func settled(card *report.Clip, m *Measurement) *placement.Placement {
	p, _ := settleGrey(m, true, card)
	return p
}

// A carried grey lies at the code of the clip that it is carried to.
func TestCarriedGreyAtAnotherDepth(t *testing.T) {
	card := dayCard()
	for _, bits := range []int{8, 10, 12} {
		m := nextClip(t, bits)
		p := settled(card, m)
		r := m.Result.Settled.Reading
		if want := r.Code(r.CodeOf(0.72)); p.Carried != card.Path || math.Abs(float64(p.Code-want)) > 1e-9 {
			t.Errorf("%d bits: code %g, want %g", bits, p.Code, want)
		}
	}
}

// Grey is carried under every condition at once, and neither clip is changed by it.
func TestGreyIsCarried(t *testing.T) {
	card, m := dayCard(), nextClip(t, 10)
	p := settled(card, m)
	if p.Stops != 1 || p.Low != 0.9 || p.High != 1.1 || p.Method != placement.Card || p.Weak || p.Region != nil ||
		curve.Finite(p.Confidence) || curve.Finite(p.Drift) || p.Series == nil || len(p.Candidates) != 1 {
		t.Errorf("carried: %+v", p)
	}
	if card.Placement.Carried != "" || !m.Result.Placement.Weak || m.Result.Placement.Stops != -2 {
		t.Errorf("changed by it: %+v, %+v", card.Placement, m.Result.Placement)
	}
	if tones := noiseOf(m.Result.Noise, p, nil).Tones; tones[0].Scene != -4 {
		t.Errorf("a tone 3 stops under nominal lies at scene %+v, grey being a stop over", tones[0].Scene)
	}
	for about, c := range map[string]struct {
		path string
		card func(*report.Clip)
		next func(*Measurement)
	}{
		"another folder": {path: "night/next.mov"},
		"another curve":  {card: func(c *report.Clip) { c.Curve.Name = "V-Log" }},
		"another camera": {next: func(m *Measurement) {
			m.Said.Camera = &metadata.Camera{Model: "other", ISO: m.Said.Camera.ISO}
		}},
		"grey of its own": {next: func(m *Measurement) { m.Result.Placement = &placement.Placement{Method: placement.Face} }},
	} {
		card, m := dayCard(), nextClip(t, 10)
		if c.path != "" {
			m.Info.Path = c.path
		}
		if c.card != nil {
			c.card(card)
		}
		if c.next != nil {
			c.next(m)
		}
		if p := settled(card, m); p != m.Result.Placement {
			t.Errorf("%s: carried %+v", about, p)
		}
	}
	if p := settled(nil, m); p != m.Result.Placement {
		t.Errorf("no clip before: carried %+v", p)
	}
}

func TestSameExposure(t *testing.T) {
	v := func(n metadata.Setting) *metadata.Setting { return &n }
	seconds := func(n curve.Seconds) *curve.Seconds { return &n }
	gain := func(n curve.Decibels) *curve.Decibels { return &n }
	stops := func(n curve.Stops) *curve.Stops { return &n }
	full := func() *metadata.Camera {
		return &metadata.Camera{Make: "Sony", Model: "FX3", ISO: v(800), ExposureIndex: v(640), GainDB: gain(-3),
			ShutterS: seconds(0.02), ShutterAngleDeg: v(180), IrisF: v(2.8), IrisT: v(3), NDStops: stops(2),
			CaptureFPS: v(25), WhiteBalanceK: v(5600)}
	}
	if exposedOtherwise(full(), full()) != "" {
		t.Error("the same settings count as others")
	}
	for name, change := range map[string]func(*metadata.Camera){
		"make":                         func(c *metadata.Camera) { c.Make = "Canon" },
		"model":                        func(c *metadata.Camera) { c.Model = "FX6" },
		"another camera of that model": func(c *metadata.Camera) { c.Serial = "0012346" },
		"ISO":                          func(c *metadata.Camera) { c.ISO = v(1600) },
		"no ISO":                       func(c *metadata.Camera) { c.ISO = nil },
		"exposure index":               func(c *metadata.Camera) { c.ExposureIndex = v(800) },
		"gain":                         func(c *metadata.Camera) { c.GainDB = gain(0) },
		"shutter":                      func(c *metadata.Camera) { c.ShutterS = seconds(0.01) },
		"shutter angle":                func(c *metadata.Camera) { c.ShutterAngleDeg = v(90) },
		"iris":                         func(c *metadata.Camera) { c.IrisF = v(4) },
		"T-stop":                       func(c *metadata.Camera) { c.IrisT = v(4) },
		"ND":                           func(c *metadata.Camera) { c.NDStops = stops(0) },
		"rate":                         func(c *metadata.Camera) { c.CaptureFPS = v(50) },
		"changed while recording": func(c *metadata.Camera) {
			c.Changes = []string{"ISO 800 at first, ISO 1600 at last"}
		},
	} {
		other := full()
		change(other)
		if exposedOtherwise(full(), other) == "" || exposedOtherwise(other, full()) == "" {
			t.Errorf("%s makes no difference", name)
		}
	}
	warmer := full()
	warmer.WhiteBalanceK = v(3200)
	if exposedOtherwise(full(), warmer) != "" {
		t.Error("white balance counts as exposure")
	}
	silent := &metadata.Camera{Make: "Sony", Model: "FX3", CaptureFPS: v(25)}
	if exposedOtherwise(silent, silent) != noExposure || exposedOtherwise(nil, full()) != noExposure ||
		exposedOtherwise(nil, nil) != noExposure {
		t.Error("clips that say nothing of exposure count as exposed alike")
	}
}

// Why grey is not carried over stands among the findings.
func TestWhyGreyIsNotCarried(t *testing.T) {
	iso := metadata.Setting(1600)
	for want, spoil := range map[refusal]func(card *report.Clip, m *Measurement) *report.Clip{
		noEarlierGrey: func(*report.Clip, *Measurement) *report.Clip { return nil },
		otherFolder: func(card *report.Clip, _ *Measurement) *report.Clip {
			card.Path = "night/card.mov"
			return card
		},
		otherCurve: func(card *report.Clip, _ *Measurement) *report.Clip {
			card.Curve.Name = "V-Log"
			return card
		},
		otherCamera: func(card *report.Clip, m *Measurement) *report.Clip {
			m.Said.Camera = &metadata.Camera{Model: "other", ISO: card.Camera.ISO}
			return card
		},
		otherExposure: func(card *report.Clip, m *Measurement) *report.Clip {
			m.Said.Camera = &metadata.Camera{ISO: &iso}
			return card
		},
		noExposure: func(card *report.Clip, m *Measurement) *report.Clip {
			m.Said.Camera = nil
			return card
		},
		curveInDoubt: func(card *report.Clip, m *Measurement) *report.Clip {
			m.Result.Placement.Doubt = placement.Curve
			return card
		},
	} {
		m := nextClip(t, 10)
		card := spoil(dayCard(), m)
		_, found := settleGrey(m, true, card)
		if len(found) != 1 || found[0].ID != advise.GreyNotCarried || found[0].Text != want.text(card) {
			t.Errorf("%q: %+v", want, found)
		}
	}
}
