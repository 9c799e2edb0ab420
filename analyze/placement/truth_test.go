package placement

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/cells"
	"stopledger/analyze/detect"
	"stopledger/analyze/internal/testframes"
	"stopledger/analyze/levels"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// measured walks groups of frames of one gray each through an accumulator.
func measured(r curve.Reading, from GreyFrom, content testframes.Content, groups, each int) *Accumulator {
	a := New(r.Table(), from)
	frames := testframes.Make(testframes.Kinds[4], 96, 64, r.Bits, groups*each, content)
	w := cells.NewWalker(cells.Walk{Reading: r, Matrix: curve.BT709, Workers: 1}, a.Collect)
	defer w.Drop()
	for i, f := range frames {
		f.Group = i / each
		w.Add(f)
	}
	w.Finish()
	return a
}

// TestAreaOfKnownLight: an area that recorded known light is placed at log2(light / reflectance),
// for every curve and depth, to the half code that recording rounds by.
func TestAreaOfKnownLight(t *testing.T) {
	area := geometry.Rect{X: 5, Y: 7, W: 50, H: 41}
	for i, c := range curve.All() {
		r := curve.Reading{Curve: c, Bits: []int{8, 10, 12}[i%3]}
		for _, reflectance := range []curve.Ratio{0.18, 0.9, 0.05} {
			for _, exposure := range []float64{-1.3, 0, 1.65} {
				light := curve.Light(float64(reflectance) * math.Exp2(exposure))
				code := math.Round(float64(r.CodeOf(light)))
				if code+1 >= float64(r.Top()) {
					continue
				}
				from := GreyFrom{Reflectance: reflectance, Regions: []Patch{{area, reflectance}}}
				p := measured(r, from, func(_, _, _, _ int) uint16 { return uint16(code) }, 2, 1).region()
				slack := halfCode(r, code)
				if p == nil || math.Abs(float64(p.Stops)-exposure) > slack || p.Low > p.Stops || p.High < p.Stops {
					t.Errorf("%s, %d bits, %g at %+g stops: %+v", c.Name, r.Bits, float64(reflectance), exposure, p)
					continue
				}
				if math.Abs(float64(p.Code)-code/r.PerCode()) > 1e-6 || math.Abs(float64(p.Drift)) > 1e-9 {
					t.Errorf("%s: code %v and drift %v, want %g and none", c.Name, p.Code, p.Drift, code/r.PerCode())
				}
			}
		}
	}
}

// halfCode is how many stops half a code is at a code.
func halfCode(r curve.Reading, code float64) float64 {
	return float64(r.Stops(curve.FileCode(code+0.5))-r.Stops(curve.FileCode(code-0.5))) + 1e-9
}

// TestAreaOverTime: the series of an area has the level of each group at its time; the area's own
// placement is that of the mean light, not of the mean of stops.
func TestAreaOverTime(t *testing.T) {
	r := readingOf(t, 12)
	levels := []float64{-1, 0.5, 0, 2}
	from := GreyFrom{Reflectance: 0.18, Regions: []Patch{{geometry.Rect{X: 1, Y: 2, W: 30, H: 20}, 0.18}}}
	code := func(stops float64) uint16 { return uint16(math.Round(float64(r.CodeOf(curve.Stops(stops).Light())))) }
	p := measured(r, from, func(frame, _, _, _ int) uint16 { return code(levels[frame/3]) }, len(levels), 3).region()
	if len(p.Series) != len(levels) {
		t.Fatalf("%d moments", len(p.Series))
	}
	var light float64
	for i, at := range p.Series {
		want := float64(r.Stops(curve.FileCode(code(levels[i]))))
		light += math.Exp2(want) / float64(len(levels))
		if math.Abs(float64(at.Stops)-want) > 1e-9 || math.Abs(float64(at.T)-float64(3*i)/25) > 1e-9 {
			t.Errorf("moment %d: %v stops at %v, want %g", i, float64(at.Stops), at.T, want)
		}
	}
	if math.Abs(float64(p.Stops)-math.Log2(light)) > 1e-9 {
		t.Errorf("placed at %v, the mean light is at %g", float64(p.Stops), math.Log2(light))
	}
}

// TestDarkAreaIsNoGrey: an area without light places nothing; no area neither.
func TestDarkAreaIsNoGrey(t *testing.T) {
	r := readingOf(t, 10)
	from := GreyFrom{Reflectance: 0.18, Regions: []Patch{{geometry.Rect{W: 32, H: 32}, 0.18},
		{geometry.Rect{X: 48, W: 32, H: 32}, 0.18}}}
	a := measured(r, from, func(_, _, x, _ int) uint16 { return uint16(40 + 400*(x/48)) }, 2, 2)
	if p := a.region(); p != nil || curve.Finite(a.gap()) {
		t.Errorf("an area under black is placed: %+v, gap %v", p, a.gap())
	}
	if p := measured(r, GreyFrom{}, testframes.Contents(10, 1)["low"], 1, 1).region(); p != nil {
		t.Errorf("no area is placed: %+v", p)
	}
}

// TestGapOfTwoAreas: two areas agree where their light stands in the ratio of what they reflect;
// else the gap is by how much it does not.
func TestGapOfTwoAreas(t *testing.T) {
	r := readingOf(t, 12)
	for _, apart := range []float64{-0.7, 0, 0.25, 1} {
		from := GreyFrom{Reflectance: 0.18, Regions: []Patch{{geometry.Rect{W: 32, H: 32}, 0.18},
			{geometry.Rect{X: 48, W: 32, H: 32}, 0.9}}}
		a := measured(r, from, func(_, _, x, _ int) uint16 {
			light := curve.Light(0.18)
			if x >= 48 {
				light = curve.Light(0.9 * math.Exp2(apart))
			}
			return uint16(math.Round(float64(r.CodeOf(light))))
		}, 3, 2)
		if got := float64(a.gap()); math.Abs(got-apart) > 0.01 { // codes are rounded
			t.Errorf("%g stops apart: the gap is %g", apart, got)
		}
	}
}

// TestUnevenIsAStandardError: of the blocks' levels, worked out with the two-pass formula
// s / sqrt(n) (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2); none for one block.
func TestUnevenIsAStandardError(t *testing.T) {
	r := readingOf(t, 10)
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 41))
		area := geometry.Rect{X: random.IntN(9), Y: random.IntN(9), W: 1 + random.IntN(80), H: 1 + random.IntN(50)}
		codes := map[[2]int]uint16{}
		var stops []float64
		for y := 0; y < area.H; y += 16 {
			for x := 0; x < area.W; x += 16 {
				code := uint16(350 + random.IntN(200))
				codes[[2]int{x / 16, y / 16}] = code
				stops = append(stops, float64(r.Stops(curve.FileCode(code))))
			}
		}
		s := newPatchSums(area, r.Codes())
		for _, f := range testframes.Make(testframes.Kinds[4], 96, 64, 10, 2, func(_, _, x, y int) uint16 {
			return codes[[2]int{max(x-area.X, 0) / 16, max(y-area.Y, 0) / 16}]
		}) {
			s.add(f.Planes[0])
		}
		if got, want := s.uneven(r, 2), standardError(stops); math.Abs(got-want) > 1e-7 {
			t.Errorf("seed %d: %d blocks are uneven by %g, want %g", seed, len(stops), got, want)
		}
	}
}

func standardError(values []float64) float64 {
	n := float64(len(values))
	if n < 2 {
		return 0
	}
	var mean, square float64
	for _, v := range values {
		mean += v / n
	}
	for _, v := range values {
		square += (v - mean) * (v - mean)
	}
	return math.Sqrt(square/(n-1)) / math.Sqrt(n)
}

// TestIntervalIsStudents: the quantiles 0.975 of Student's t by degrees of freedom are those of
// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2; time, space and what is known of the
// reference add as squares, and what is read is never said to better than 0.005 stop to a side.
func TestIntervalIsStudents(t *testing.T) {
	for n, student := range map[int]float64{2: 12.706, 3: 4.303, 5: 2.776, 11: 2.228, 31: 2.042} {
		for _, space := range []float64{0, 0.01, 0.1} {
			for _, reference := range []float64{0, 0.1, 1} {
				p := Placement{Stops: 1}
				var stops []float64
				for i := range n {
					v := 1 + 0.03*math.Sin(float64(5*i))
					stops = append(stops, v)
					p.Series = append(p.Series, At{curve.Seconds(i), curve.Stops(v)})
				}
				p.setInterval(space, curve.Stops(reference))
				want := max(math.Hypot(student*standardError(stops), 1.96*space), 0.005)
				want = math.Hypot(want, reference)
				if got := float64(p.High-p.Low) / 2; math.Abs(got-want) > 1e-3*want || math.Abs(float64(p.High+p.Low)-2) > 1e-9 {
					t.Errorf("%d moments, %g in space, %g known: %v to %v, want 1 +- %g", n, space, reference, p.Low, p.High, want)
				}
			}
		}
	}
	p := Placement{Stops: 1, Series: []At{{0, 1}}}
	if p.setInterval(0, 0); math.Abs(float64(p.High-p.Low)-0.01) > 1e-12 || curve.Finite(p.Drift) {
		t.Errorf("one moment: %+v", p)
	}
}

// TestDriftIsTheFittedLines: a line is found exactly; noise moves it as the normal equations say.
func TestDriftIsTheFittedLines(t *testing.T) {
	for seed := range uint64(50) {
		random := rand.New(rand.NewPCG(seed, 42))
		var at []At
		var st, ss, stt, sts, n float64
		now, slope := 0.0, random.NormFloat64()
		for range 2 + random.IntN(20) {
			now += 0.1 + random.Float64()
			stops := 0.3 + slope*now + float64(seed%2)*random.NormFloat64()
			at = append(at, At{curve.Seconds(now), curve.Stops(stops)})
			n, st, ss, stt, sts = n+1, st+now, ss+stops, stt+now*now, sts+now*stops
		}
		span := float64(at[len(at)-1].T - at[0].T)
		want := (n*sts - st*ss) / (n*stt - st*st) * span
		if got := float64(Drift(at)); math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
			t.Errorf("seed %d: a drift of %g, want %g", seed, got, want)
		}
		if seed%2 == 0 && math.Abs(want-slope*span) > 1e-6*(1+math.Abs(want)) {
			t.Errorf("seed %d: the line rises by %g, not %g", seed, slope*span, want)
		}
	}
}

// TestSceneIsWeighted: the scene's level is the mean over frames, not over groups. It is weak, with
// no interval, unless the user takes it for a ground: then with a stop to each side beside what the
// groups scatter by, for two of them 12.706 x the standard error (the same table of Student's t).
func TestSceneIsWeighted(t *testing.T) {
	r := readingOf(t, 10)
	groups := []levels.Group{{T: 0, Frames: 1, Average: -2}, {T: 4, Frames: 3, Average: 1}}
	for _, target := range []bool{false, true} {
		p := average(groups, GreyFrom{SceneTarget: target}, r)
		if p.Stops != 0.25 || p.Weak == target || p.Method != Scene || p.Confidence != 0 || len(p.Series) != 2 ||
			math.Abs(float64(p.Drift)-3) > 1e-12 {
			t.Errorf("as the user's ground %v: %+v", target, p)
		}
		half := float64(p.High-p.Low) / 2
		if want := math.Hypot(1, 12.706*1.5); target && math.Abs(half-want) > 1e-3*want || !target && curve.Finite(half) {
			t.Errorf("as the user's ground %v: an interval of %v to %v", target, p.Low, p.High)
		}
		if want := r.CodeOf(curve.Stops(0.25).Light()); math.Abs(float64(p.Code)-float64(want)) > 1e-9 {
			t.Errorf("reads %v, want %v", float64(p.Code), float64(want))
		}
	}
}

// TestPickAgainstAllEvidence: of random evidence an area given is taken first, then the first kind in
// order of worth that is sure, then a chart or card that is likely, which is weak, then the scene;
// nothing is lost from the candidates.
func TestPickAgainstAllEvidence(t *testing.T) {
	for seed := range uint64(300) {
		random := rand.New(rand.NewPCG(seed, 43))
		of := map[Method]*Placement{}
		var found []*Placement
		for _, kind := range []Method{Region, Chart, Card, Face, Scene} {
			if random.IntN(2) > 0 {
				of[kind] = &Placement{Method: kind, Confidence: curve.Ratio(random.IntN(21)) / 20,
					Stops: curve.Stops(random.NormFloat64())}
				found = append(found, of[kind])
			}
		}
		want := wanted(of)
		best := choose(found, Auto)
		if (best == nil) != (want == "") || best != nil && best.Method != want {
			t.Errorf("seed %d: took %+v, want %q", seed, best, want)
			continue
		}
		if best == nil {
			continue
		}
		checkCandidates(t, fmt.Sprint("seed ", seed), best, len(found))
		checkWeak(t, best)
		for _, c := range best.Candidates {
			if c.Stops != of[c.Method].Stops || (c.Note != "") != (c.Method == Face || c.Method == Scene) {
				t.Errorf("seed %d: candidate %+v of %+v", seed, c, of[c.Method])
			}
		}
	}
}

// wanted is the kind to be taken of evidence, "" for none.
func wanted(of map[Method]*Placement) Method {
	for _, step := range []struct {
		least curve.Ratio
		kinds []Method
	}{{0, []Method{Region}}, {0.75, []Method{Chart, Card, Face}}, {0.5, []Method{Chart, Card}}, {0, []Method{Scene}}} {
		for _, kind := range step.kinds {
			if p := of[kind]; p != nil && p.Confidence >= step.least {
				return kind
			}
		}
	}
	return ""
}

// checkWeak wants a chart or card weak that is not sure, or that another from 0.5 on contradicts by
// more than 0.3 stops.
func checkWeak(t *testing.T, best *Placement) {
	t.Helper()
	found := best.Method == Chart || best.Method == Card
	disagrees := false
	for _, c := range best.Candidates {
		disagrees = disagrees || found && !c.Used && (c.Method == Chart || c.Method == Card) && c.Confidence >= 0.5 &&
			math.Abs(float64(c.Stops-best.Stops)) > 0.3
	}
	if want := disagrees || found && best.Confidence < 0.75; best.Weak != want || (best.Doubt == Disagree) != disagrees {
		t.Errorf("weak %v, doubt %q: %+v", best.Weak, best.Doubt, best.Candidates)
	}
}

// TestWhatIsSearchedFor: faces are passed over where a chart or card is asked for, and nothing is
// searched for where grey comes from an area or the scene.
func TestWhatIsSearchedFor(t *testing.T) {
	area := []Patch{{geometry.Rect{W: 1, H: 1}, 0.18}}
	for _, tc := range []struct {
		from    GreyFrom
		idle    bool
		noFaces bool
	}{
		{GreyFrom{}, false, false}, {GreyFrom{Grey: Auto}, false, false}, {GreyFrom{Regions: area}, true, false},
		{GreyFrom{Grey: Region, Regions: area}, true, false}, {GreyFrom{Grey: Scene}, true, false},
		{GreyFrom{Grey: Chart}, false, true}, {GreyFrom{Grey: Card, Regions: area}, false, true},
		{GreyFrom{Grey: Face, Regions: area}, false, false},
	} {
		s := NewSearch(readingOf(t, 10), curve.BT709, tc.from, 90)
		if s.idle != tc.idle || s.faces == (tc.idle || tc.noFaces) || s.options.RotationDeg != 90 {
			t.Errorf("%+v: idle %v, faces %v", tc.from, s.idle, s.faces)
		}
	}
}

// TestFacesWhereGreyIsNotSure: faces are asked where no card is sure, as confidence and its place among the
// scene's tones make it, and where the user asks for them.
func TestFacesWhereGreyIsNotSure(t *testing.T) {
	card := func(confidence curve.Ratio, stops curve.Stops) []detect.Findings {
		d := detect.Detection{Corners: geometry.Upright(100, 100, 300, 300), Stops: stops, Confidence: confidence}
		f := detect.Findings{Cards: []detect.Card{{Detection: d}}, Tones: detect.Tones{Middle: 0.2, Spread: 1}}
		return []detect.Findings{f, f}
	}
	for _, tc := range []struct {
		name  string
		grey  Method
		found []detect.Findings
		faces bool
	}{
		{"a sure card", Auto, card(1, 0.2), false}, {"one that is likely", Auto, card(0.7, 0.2), true},
		{"one as bright as no card is", Auto, card(1, 12.5), true}, {"none", Auto, card(1, 0)[:0], true},
		{"faces are wanted", Face, card(1, 0.2), true}, {"cards are wanted", Card, card(0.7, 0.2), false},
	} {
		s := NewSearch(readingOf(t, 10), curve.BT709, GreyFrom{Grey: tc.grey, Reflectance: 0.18}, 0)
		s.found, s.pixels = tc.found, 1000*1000
		if s.Settle(); s.faces != tc.faces {
			t.Errorf("%s: faces are asked: %v", tc.name, s.faces)
		}
	}
}

// TestPlausibleCards: a card is likely from 1.7 stops under the scene's middle to 3 over, never from 3.2 under
// or 12 over, and evenly in between; among many surfaces it is worth 0.6 of that from 0.85 under.
func TestPlausibleCards(t *testing.T) {
	for spread, at := range map[curve.Stops]map[curve.Stops]curve.Ratio{
		0.4:  {-9: 0, -3.2: 0, -2.45: 0.5, -1.7: 1, 0: 1, 3: 1, 7.5: 0.5, 12: 0, 15: 0},
		0.75: {-1.7: 0.8, -0.65: 0.9, -0.45: 1, 7.5: 0.5}, // half way
		1.2:  {-9: 0, -3.2: 0, -2.45: 0.3, -1.7: 0.6, -0.65: 0.8, -0.45: 1, 0: 1, 3: 1, 7.5: 0.5, 12: 0},
	} {
		for over, want := range at {
			if got := likely(over, spread); math.Abs(float64(got-want)) > 1e-9 {
				t.Errorf("%v stops over a scene that spreads %v: %v, want %v", over, spread, float64(got), float64(want))
			}
		}
	}
}

// TestCarriedToOtherCurves: carried to a clip of any curve, grey reads where that curve records its
// light: reading it back gives the stops again.
func TestCarriedToOtherCurves(t *testing.T) {
	for _, c := range curve.All() {
		r := curve.Reading{Curve: c, Bits: 10}
		for _, stops := range []curve.Stops{-2, 0, 1.3} {
			p := Carry(&Placement{Stops: stops, Method: Card, Reflectance: curve.MidGrey}, "a.mov", nil, r)
			back := r.Stops(r.FileCode(p.Code))
			if p.Stops != stops || math.Abs(float64(back-stops)) > 1e-6 && r.FileCode(p.Code) < r.Top() {
				t.Errorf("%s, %v stops: reads code %v, which is %v stops", c.Name, stops, p.Code, float64(back))
			}
		}
	}
}

// TestStopsOr: only what is a ground for a correction counts.
func TestStopsOr(t *testing.T) {
	var none *Placement
	for _, tc := range []struct {
		p    *Placement
		want curve.Stops
	}{{none, 7}, {&Placement{Stops: 2, Weak: true}, 7}, {&Placement{Stops: 2}, 2}, {&Placement{}, 0}} {
		if got := tc.p.StopsOr(7); got != tc.want {
			t.Errorf("%+v: %v, want %v", tc.p, got, tc.want)
		}
	}
}
