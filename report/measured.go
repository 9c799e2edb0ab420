package report

import (
	"image"
	"math"

	"stopledger/analyze"
	"stopledger/analyze/find"
	"stopledger/curve"
)

// Measured turns what was measured of a clip into its entry in the document. What is known of
// the file, the curve's origin and the camera is filled in by the caller.
func Measured(r *analyze.Result) Clip {
	c := Clip{
		Curve: Curve{Name: r.Reading.Curve.Name, Source: r.Reading.Curve.Source.String(),
			MidGrey: levelOf(r.Reading, r.Reading.CodeOf(curve.MidGrey))},
		Sampling:   Sampling{Groups: r.Groups, FramesMeasured: r.Frames, FramesLost: r.Lost},
		Placement:  placementOf(r),
		Noise:      noiseOf(r),
		Highlights: highlightsOf(r),
		Advice:     adviceOf(r.Advice),
		Histogram: &Histogram{First: r.Histogram.First, Step: r.Histogram.Step,
			Shares: r.Histogram.Shares, Below: r.Histogram.Below},
		Variation: Variation{number(r.Variation.Drift), number(r.Variation.Step), number(r.Variation.StepAt),
			number(r.Variation.Flicker), number(r.Variation.FlickerHz)},
	}
	c.Scene = &Scene{number(r.Scene.Average), number(r.Scene.P1), number(r.Scene.P10), number(r.Scene.P50), number(r.Scene.P90), number(r.Scene.P99)}
	for _, m := range r.Moments {
		c.Over = append(c.Over, Moment{T: m.T, Placement: number(m.Placement), Level: number(m.Level),
			Floor: number(m.Floor), Clipped: m.Clipped})
	}
	return c
}

// number returns nil for what was not measured.
func number(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func levelOf(r curve.Reading, code float64) Level { return Level{r.Code10(code), r.Percent(code)} }

func rectOf(r image.Rectangle) *Rect {
	if r.Empty() {
		return nil
	}
	return &Rect{r.Min.X, r.Min.Y, r.Dx(), r.Dy()}
}

func placementOf(r *analyze.Result) *Placement {
	p := r.Placement
	if p == nil {
		return nil
	}
	out := &Placement{Stops: p.Stops, Low: p.Low, High: p.High, Method: p.Method, Weak: p.Weak, Carried: p.Carried,
		Confidence: number(p.Confidence), Code: r.Reading.Code10(p.Code), Percent: r.Reading.Percent(p.Code),
		Reflectance: p.Reflectance, Region: rectOf(p.Area), DriftStops: number(p.Drift), Series: []StopsAt{}, Candidates: []Candidate{}}
	for _, s := range p.Series {
		out.Series = append(out.Series, StopsAt{s.T, s.Stops})
	}
	for _, corner := range p.Corners {
		out.Corners = append(out.Corners, [2]int{corner.X, corner.Y})
	}
	out.Chart = chartOf(p.Chart)
	for _, c := range p.Candidates {
		out.Candidates = append(out.Candidates, Candidate{c.Method, c.Stops, c.Confidence, rectOf(c.Area), c.Used, c.Note})
	}
	return out
}

func chartOf(c *find.Chart) *Chart {
	if c == nil {
		return nil
	}
	out := &Chart{Edition: c.Edition.String(), Slope: c.Line.Slope, ResidualStops: c.Line.Residual, WhiteBalance: c.WhiteBalance, Patches: []Patch{}}
	if c.Doubt != nil {
		out.Doubt = c.Doubt.Kind.String()
	}
	for _, p := range c.Patches {
		out.Patches = append(out.Patches, Patch{Name: p.Name, Published: p.Published, Measured: number(p.Measured), Residual: number(p.Residual), Used: p.Used})
	}
	return out
}

func noiseOf(r *analyze.Result) Noise {
	n := &r.Noise
	out := Noise{FloorStops: number(n.Floor), FloorSNR2Stops: number(n.FloorSNR2), UsableStops: number(n.Usable),
		Suppressed: n.Suppressed != "", SuppressedReason: n.Suppressed, ModelReason: n.ModelReason,
		GrainPx: number(n.GrainPx), RejectedShare: n.RejectedShare, Tones: []Tone{}, Channels: []Channel{}, Graded: []Graded{}}
	if m := n.Model; m != nil {
		out.Model = &Model{m.Read, m.Shot, number(m.ReadError), number(m.ShotError), number(m.Chi2)}
	}
	for _, t := range n.Tones {
		out.Tones = append(out.Tones, toneOf(r, t))
	}
	for i, name := range []string{"r", "g", "b"} {
		if len(n.Channels[i]) == 0 {
			continue
		}
		ch := Channel{Name: name, GrainPx: number(n.ChannelGrain[i])}
		for _, t := range n.Channels[i] {
			ch.Tones = append(ch.Tones, toneOf(r, t))
		}
		out.Channels = append(out.Channels, ch)
	}
	out.Codec = codecOf(n.Codec, r.Reading)
	for _, g := range n.Graded {
		out.Graded = append(out.Graded, gradedOf(g))
	}
	return out
}

func toneOf(r *analyze.Result, t analyze.Tone) Tone {
	ten := 1 / math.Exp2(float64(r.Reading.Bits)-10) // 10-bit codes per file code
	out := Tone{RecordedStops: t.Stops, Code: t.Code * ten, Cells: t.Cells, SigmaCode: number(t.SigmaCode * ten),
		SigmaLinear: number(t.SigmaLinear), FixedCode: number(t.Fixed * ten), RowCode: number(t.Row * ten), ColumnCode: number(t.Column * ten)}
	if math.IsInf(t.Stops, -1) {
		out.RecordedStops = analyze.DarkestTone
	}
	if out.SigmaCode == nil {
		out.Below = number(analyze.LeastSigma * ten)
	}
	if p := r.Placement; p != nil && !p.Weak {
		out.SceneStops = number(out.RecordedStops - p.Stops)
	}
	if r.Noise.Suppressed == "" {
		db, low, high := t.SNR()
		out.SNR, out.Low, out.High = number(db), number(low), number(high)
	}
	return out
}

func codecOf(c analyze.Codec, r curve.Reading) *Codec {
	perCode := math.Exp2(float64(r.Bits) - 10)
	out := &Codec{RepeatedShare: c.Repeated, LagGrowth: number(c.Growth), CoarseOverFine: number(c.Coarse), Kurtosis: number(c.Kurtosis), ByPicture: map[string]*float64{}}
	for picture, variance := range c.ByPicture {
		out.ByPicture[string(rune(picture))] = number(variance / perCode / perCode)
	}
	return out
}

func gradedOf(g analyze.Graded) Graded {
	out := Graded{Name: g.Name, Stops: g.Stops, VisibleBelow: number(g.Visible)}
	for _, t := range g.Tones {
		out.Tones = append(out.Tones, GradedTone{t.Scene, number(t.SNR), number(t.Nominal), number(t.SigmaL)})
	}
	return out
}

func highlightsOf(r *analyze.Result) Highlights {
	h := r.Highlights
	level := levelOf(r.Reading, h.Ceiling.Code)
	out := Highlights{
		Ceiling: Ceiling{Code: level.Code, Percent: level.Percent,
			RecordedStops: r.Reading.Stops(h.Ceiling.Code), Origin: "curve"},
		Channels: map[string]Level{}, Headroom: number(h.Headroom), Brightest: number(h.Brightest),
		Clipped: Shares(h.Clipped), SoftShare: number(h.Soft), Edge: h.Edge, Areas: []Area{}}
	if h.Ceiling.Measured {
		out.Ceiling.Origin = "measured"
	}
	for i, name := range []string{"r", "g", "b"} {
		if code := h.Ceiling.Channel[i]; !math.IsNaN(code) {
			out.Channels[name] = levelOf(r.Reading, code)
		}
	}
	for _, a := range h.Areas {
		area := Area{Rect: *rectOf(a.Box), Share: a.Share, Kind: "points", From: a.From, To: a.To, HueShare: a.Hue, FrameShare: a.Peak}
		if a.Field {
			area.Kind = "field"
		}
		out.Areas = append(out.Areas, area)
	}
	return out
}

func adviceOf(a analyze.Advice) Advice {
	out := Advice{Action: a.Action, Stops: a.Stops, Findings: []Finding{},
		After: After{SNR: number(a.After.SNR), NominalSNR: number(a.After.Nominal),
			GainDB: number(a.After.SNR - a.After.Nominal), CeilingDisplay: number(a.After.Ceiling)},
		Next: NextTake{Stops: number(a.Next.Stops), Zebra: number(a.Next.Zebra), Text: a.Next.Text, For: []ForSNR{}}}
	for _, f := range a.Findings {
		out.Findings = append(out.Findings, Finding(f))
	}
	for _, f := range a.Next.For {
		out.Next.For = append(out.Next.For, ForSNR{f.SNR, number(f.Placement), number(f.Zebra)})
	}
	return out
}
