package report

import (
	"math"
	"slices"
)

// CompareSchema names the JSON document of a comparison; fields may be added to it, none is
// renamed or removed.
const CompareSchema = "stopledger/compare/1"

// A Comparison holds takes side by side: the clips as audited, and how each differs from the
// first.
type Comparison struct {
	Schema         string         `json:"schema"`
	Tool           Tool           `json:"tool"`
	Settings       Settings       `json:"settings"`
	Clips          []Clip         `json:"clips"`
	Takes          []Take         `json:"takes"` // one a clip, in the same order
	Recommendation Recommendation `json:"recommendation"`
	Failed         []Failure      `json:"failed"`
}

// A Take is one clip's figures and their differences from the first clip's.
type Take struct {
	Path    string   `json:"path"`
	Figures []Figure `json:"figures"`
}

// A Figure is one quantity of a take. Its value and its difference are null where they could
// not be measured.
type Figure struct {
	Name       string      `json:"name"` // placement, floor, snr, ceiling, headroom, clipped_any ...
	Unit       string      `json:"unit"` // stops, dB, share
	SceneStops *float64    `json:"scene_stops"`
	Value      *Estimate   `json:"value"`
	Difference *Difference `json:"difference"` // this take less the first; null for the first
}

// An Estimate is a number with its 95 % interval, whose ends are null where it is not known.
type Estimate struct {
	Value float64  `json:"value"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
}

// A Difference is an Estimate of a difference. Told is false where its interval holds zero:
// the takes cannot be told apart by it, and no direction is to be read from its value.
type Difference struct {
	Estimate
	Told bool `json:"told"`
}

// sceneTones are the tones at which takes are compared, in stops from the subject's grey.
var sceneTones = []float64{-6, -5, -4, -3, -2, -1, 0, 1, 2}

// Compare sets takes side by side, each against the first. It asks for at least one clip in doc.
func Compare(doc Document) Comparison {
	c := Comparison{
		Schema: CompareSchema, Tool: doc.Tool, Settings: doc.Settings,
		Clips: doc.Clips, Failed: doc.Failed,
	}
	for _, clip := range doc.Clips {
		t := Take{Path: clip.Path, Figures: figures(clip)}
		if len(c.Takes) > 0 {
			for i := range t.Figures {
				t.Figures[i].Difference = difference(t.Figures[i].Value, c.Takes[0].Figures[i].Value)
			}
		}
		c.Takes = append(c.Takes, t)
	}
	c.Recommendation = recommend(c.Takes)
	return c
}

// figures returns a clip's figures, the same ones in the same order for every clip.
func figures(c Clip) []Figure {
	list := []Figure{{Name: "placement", Unit: "stops", Value: placementEstimate(c.Placement)}}
	for _, tone := range sceneTones {
		list = append(list, Figure{Name: "snr", Unit: "dB", SceneStops: &tone, Value: toneSNR(c, tone)})
	}
	floor := c.Noise.FloorStops
	if c.Noise.Suppressed {
		floor = nil
	}
	ceiling, shares := exactly(&c.Highlights.Ceiling.RecordedStops), c.Highlights.Clipped
	return append(list,
		Figure{Name: "floor", Unit: "stops", Value: exactly(floor)},
		Figure{Name: "scene_floor", Unit: "stops", Value: fromGrey(exactly(floor), c.Placement)},
		Figure{Name: "ceiling", Unit: "stops", Value: ceiling},
		Figure{Name: "scene_ceiling", Unit: "stops", Value: fromGrey(ceiling, c.Placement)},
		Figure{Name: "headroom", Unit: "stops", Value: exactly(c.Highlights.Headroom)},
		Figure{Name: "clipped_r", Unit: "share", Value: exactly(&shares.R)},
		Figure{Name: "clipped_g", Unit: "share", Value: exactly(&shares.G)},
		Figure{Name: "clipped_b", Unit: "share", Value: exactly(&shares.B)},
		Figure{Name: "clipped_any", Unit: "share", Value: exactly(&shares.Any)},
		Figure{Name: "clipped_all", Unit: "share", Value: exactly(&shares.All)},
	)
}

func placementEstimate(p *Placement) *Estimate {
	if p == nil || !finite(p.Stops) {
		return nil
	}
	return interval(p.Stops, p.Low, p.High)
}

// exactly is an estimate whose interval is not known; nil where there is no number.
func exactly(v *float64) *Estimate {
	if n, ok := known(v); ok {
		return &Estimate{Value: n}
	}
	return nil
}

// fromGrey turns a recorded level into one from the subject's grey, with grey's interval.
func fromGrey(level *Estimate, p *Placement) *Estimate {
	grey := placementEstimate(p)
	if level == nil || grey == nil {
		return nil
	}
	e := &Estimate{Value: level.Value - grey.Value}
	if grey.Low != nil {
		low, high := level.Value-*grey.High, level.Value-*grey.Low
		e.Low, e.High = &low, &high
	}
	return e
}

// interval is an estimate with its interval, or without one where that makes no sense.
func interval(v, low, high float64) *Estimate {
	if !finite(low) || !finite(high) || low > v || high < v {
		return &Estimate{Value: v}
	}
	return &Estimate{Value: v, Low: &low, High: &high}
}

// difference is a less b. The takes are independent, so the half intervals add in squares, each
// end of the one with the opposite end of the other. Without both intervals any difference that
// is not zero counts as told.
func difference(a, b *Estimate) *Difference {
	if a == nil || b == nil {
		return nil
	}
	d := &Difference{Estimate: Estimate{Value: a.Value - b.Value}}
	if a.Low == nil || b.Low == nil {
		d.Told = d.Value != 0
		return d
	}
	low := d.Value - math.Hypot(a.Value-*a.Low, *b.High-b.Value)
	high := d.Value + math.Hypot(*a.High-a.Value, b.Value-*b.Low)
	d.Low, d.High = &low, &high
	d.Told = low > 0 || high < 0
	return d
}

// find returns the figure of a name, at a scene tone for the noise.
func (t Take) find(name string, tone float64) Figure {
	i := slices.IndexFunc(t.Figures, func(f Figure) bool {
		return f.Name == name && (f.SceneStops == nil || *f.SceneStops == tone)
	})
	if i < 0 {
		return Figure{}
	}
	return t.Figures[i]
}
