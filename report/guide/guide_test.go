package guide

import (
	"bytes"
	"image/color"
	"image/png"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/plan"
	"stopledger/curve"
	"stopledger/report"
)

// planOf returns a plan by a curve alone, or by a camera of two ISOs.
func planOf(c *curve.Curve, measured bool) *report.Plan {
	r := curve.Reading{Curve: c, Bits: 10}
	q := plan.Request{Reading: r, Scene: plan.Scene{Low: -4, High: 3}, Sensors: []plan.Sensor{plan.Unseen(r)}}
	if measured {
		camera := noise.Camera{Read: 4.6e-4, ReadLow: 4.4e-4, ReadHigh: 4.8e-4, Shot: 5.7e-5, ShotLow: 5.4e-5,
			ShotHigh: 6e-5}
		q.Profile = "camera.toml"
		q.Sensors = []plan.Sensor{{ISO: 800, Ceiling: 4.5, Origin: clipping.Measured, Noise: camera},
			{ISO: 12800, Ceiling: 4.5, Origin: clipping.Measured, Noise: camera}}
	}
	tool := report.Tool{Name: "stopledger", Version: "test"}
	return &report.Plan{Schema: report.PlanSchema, Tool: tool, Plan: plan.Make(q)}
}

// The page holds all it says at both sizes, with every curve, measured or not.
func TestFits(t *testing.T) {
	for _, c := range curve.All() {
		for _, measured := range []bool{false, true} {
			p := planOf(c, measured)
			for name, size := range map[string]struct{ w, h, scale vg.Length }{
				"A6": {a6Width, a6Height, a6Scale}, "phone": {phoneWidth, phoneHeight, 1}} {
				onto := draw.NewCanvas(new(recorder.Canvas), size.w, size.h)
				page := raster{&onto}
				s := &sheet{page, size.scale, size.w, size.h - margin}
				s.draw(p)
				if s.y < margin/2 {
					t.Errorf("%s, %s, measured %v: %.1f points below the page's edge", c.Name, name, measured, float64(margin/2-s.y))
				}
			}
		}
	}
}

// The picture is a phone's size, dark on white, and nothing touches its edges.
func TestPNG(t *testing.T) {
	var b bytes.Buffer
	slog3, err := curve.Find("slog3")
	if err != nil {
		t.Fatal(err)
	}
	if err := WritePNG(&b, planOf(slog3, true)); err != nil {
		t.Fatal(err)
	}
	m, err := png.Decode(&b)
	if err != nil || m.Bounds().Dx() != 1080 || m.Bounds().Dy() != 1920 {
		t.Fatalf("%v %v", err, m.Bounds())
	}
	dark := 0
	for y := range 1920 {
		for x := range 1080 {
			g := color.GrayModel.Convert(m.At(x, y)).(color.Gray).Y
			if g < 100 {
				dark++
			}
			if g < 200 && (x < 20 || x >= 1060 || y < 20 || y >= 1900) {
				t.Fatalf("ink at (%d, %d)", x, y)
			}
		}
	}
	if dark < 20000 {
		t.Errorf("%d dark pixels", dark)
	}
}

// The PDF is one page of A6 with its typefaces embedded.
func TestPDF(t *testing.T) {
	var b bytes.Buffer
	slog3, err := curve.Find("slog3")
	if err != nil {
		t.Fatal(err)
	}
	if err := WritePDF(&b, planOf(slog3, true)); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	const a6 = "/MediaBox [0 0 297.64 419.53]" // 105 x 148 mm (ISO 216) in points of 1/72 inch
	if !strings.HasPrefix(text, "%PDF-") || !strings.Contains(text, a6) || strings.Count(text, "/Type /Page\n") != 1 ||
		strings.Count(text, "/FontFile2") != 2 {
		t.Errorf("%.200s", text)
	}
}

// Each situation stands with its zebra, what to look for and what it costs; the caution is on the page.
func TestHTML(t *testing.T) {
	slog3, err := curve.Find("slog3")
	if err != nil {
		t.Fatal(err)
	}
	for _, measured := range []bool{false, true} {
		var b bytes.Buffer
		p := planOf(slog3, measured)
		if err := WriteHTML(&b, p); err != nil {
			t.Fatal(err)
		}
		parts := []string{"41 %", "58 %", "Never point a lens at the sun", "safety rules", "Written by stopledger"}
		for _, s := range p.Guide.Situations {
			parts = append(parts, s.Name, ZebraWords(s), s.On)
		}
		if len(p.Guide.Situations) != 6 {
			t.Errorf("%d situations", len(p.Guide.Situations))
		}
		if !measured {
			parts = append(parts, "is not measured")
		}
		for _, part := range parts {
			if !strings.Contains(b.String(), part) {
				t.Errorf("measured %v: it does not say %q", measured, part)
			}
		}
	}
}
