package detect

import (
	"math"
	"testing"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// seen is a frame with a card of 100 px at a place.
func seen(index int, cards ...Card) Findings {
	return Findings{Index: index, Time: curve.Seconds(index) / 25, Cards: cards}
}

func cardAt(x, y float64, stops curve.Stops, confidence curve.Ratio) Card {
	return Card{Detection: Detection{Corners: box(geometry.Pt(x, y), 100), Stops: stops, Error: 0.1,
		Confidence: confidence}}
}

func TestAgree(t *testing.T) {
	for _, c := range []struct {
		name       string
		frames     []Findings
		sightings  []int       // of each evidence, the best first
		stops      curve.Stops // of the best
		confidence curve.Ratio
	}{
		{"nothing", []Findings{seen(0), seen(1)}, nil, 0, 0},
		{"one frame", []Findings{seen(0, cardAt(300, 300, 0.5, 0.9))}, []int{1}, 0.5, 0.9},
		{"a card that stands", []Findings{
			seen(0, cardAt(300, 300, 0.5, 0.8)), seen(10, cardAt(302, 299, 0.52, 1)),
			seen(20, cardAt(301, 300, 0.51, 0.9)),
		}, []int{3}, 0.51, 0.9},
		{"a card that moves steadily", []Findings{
			seen(0, cardAt(300, 300, 0.5, 0.8)), seen(10, cardAt(380, 300, 0.6, 0.8)),
			seen(20, cardAt(460, 300, 0.7, 0.8)), seen(40, cardAt(620, 300, 0.9, 0.8)),
		}, []int{4}, 0.65, 0.8},
		{"carried elsewhere with the same light", []Findings{
			seen(0, cardAt(300, 300, 0.5, 0.8)), seen(50, cardAt(900, 500, 0.55, 0.8)),
		}, []int{2}, 0.525, 0.8},
		{"another thing elsewhere", []Findings{
			seen(0, cardAt(300, 300, 0.5, 0.8)), seen(50, cardAt(900, 500, 1.1, 0.7)),
		}, []int{1, 1}, 0.5, 0.8},
		{"seen once of many", []Findings{seen(0, cardAt(300, 300, 0.5, 0.8)), seen(10), seen(20), seen(30)},
			[]int{1}, 0.5, 0.8 * curve.Ratio(defaults.Agree.LoneWorth)},
		{"two at once", []Findings{
			seen(0, cardAt(300, 300, 0.5, 0.9), cardAt(700, 300, 0.5, 0.6)),
			seen(10, cardAt(701, 300, 0.5, 0.6), cardAt(301, 300, 0.5, 0.9)),
		}, []int{2, 2}, 0.5, 0.9},
		{"frames in any order", []Findings{
			seen(20, cardAt(460, 300, 0.5, 0.8)), seen(0, cardAt(300, 300, 0.5, 0.8)),
			seen(10, cardAt(380, 300, 0.5, 0.8)),
		}, []int{3}, 0.5, 0.8},
	} {
		found := Agree(c.frames)
		if len(found) != len(c.sightings) {
			t.Errorf("%s: %d evidences, want %d: %+v", c.name, len(found), len(c.sightings), found)
			continue
		}
		for i, e := range found {
			if len(e.Sightings) != c.sightings[i] {
				t.Errorf("%s: evidence %d of %d sightings, want %d", c.name, i, len(e.Sightings), c.sightings[i])
			}
			for k := 1; k < len(e.Sightings); k++ {
				if e.Sightings[k].Time <= e.Sightings[k-1].Time {
					t.Errorf("%s: sightings out of order", c.name)
				}
			}
		}
		if len(found) > 0 && (math.Abs(float64(found[0].Stops-c.stops)) > 1e-9 ||
			math.Abs(float64(found[0].Confidence-c.confidence)) > 1e-9) {
			t.Errorf("%s: %+.3f stops, confidence %.3f, want %+.3f, %.3f", c.name, found[0].Stops,
				found[0].Confidence, c.stops, c.confidence)
		}
	}
}

// TestAgreeOrder: charts come before cards before faces, whatever their confidence.
func TestAgreeOrder(t *testing.T) {
	d := func(x float64, confidence curve.Ratio) Detection {
		return Detection{Corners: box(geometry.Pt(x, 100), 80), Confidence: confidence, Error: 0.1}
	}
	found := Agree([]Findings{{Charts: []Chart{{Detection: d(100, 0.6)}}, Cards: []Card{{Detection: d(300, 0.8)},
		{Detection: d(500, 0.9)}}, Faces: []Face{{Detection: d(700, 1)}}}})
	want := []Kind{ChartKind, CardKind, CardKind, FaceKind}
	if len(found) != len(want) {
		t.Fatalf("%d evidences", len(found))
	}
	for i, k := range want {
		if found[i].Kind != k || found[i].Error < 0.1 {
			t.Errorf("%d: %+v, want a %s", i, found[i], k)
		}
	}
	if found[1].Confidence < found[2].Confidence || found[0].Best.Chart == nil {
		t.Error("cards by confidence, and the chart with its patches")
	}
}
