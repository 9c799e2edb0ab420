package detect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"stopledger/analyze/detect/pyramid"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// cardsOf are cards of one size each at places of their own, with confidences that fall by a little.
func cardsOf(sides ...float64) (cards []Card) {
	for i, side := range sides {
		c := Card{Detection: Detection{Corners: geometry.Upright(100*float64(i), 0, side, side)}}
		c.Confidence = curve.Ratio(0.9 - 0.01*float64(i))
		cards = append(cards, c)
	}
	return cards
}

// TestTooManyCards: more than two of about one size are tiles; a card that the others do not come near is one, and
// things of other sizes are not its like.
func TestTooManyCards(t *testing.T) {
	unlike := cardsOf(50, 50, 50)
	unlike[1].Confidence, unlike[2].Confidence = 0.52, 0.51
	for _, c := range []struct {
		name  string
		cards []Card
		want  bool
	}{
		{"none", nil, false}, {"one", cardsOf(50), false}, {"two alike", cardsOf(50, 52), false},
		{"three alike", cardsOf(50, 52, 48), true}, {"three sizes", cardsOf(30, 60, 120), false}, {"one sure", unlike, false},
		{"three alike of five", cardsOf(20, 50, 52, 48, 200), true},
	} {
		if got := defaults.Card.tooMany(c.cards); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// TestAlikeQuads: in one place and of one size; further off by a tenth of the side, or larger by a quarter, is another.
func TestAlikeQuads(t *testing.T) {
	p, q := &defaults.Card, geometry.Upright(100, 100, 60, 60)
	for _, c := range []struct {
		other geometry.Quad
		want  bool
	}{
		{q, true}, {q.Shift(5, 0), true}, {q.Shift(5, 5), false}, {q.Shrink(1.1), true}, {q.Shrink(1.13), false},
		{q.Shrink(0.9), true}, {q.Shrink(0.88), false},
	} {
		if got := p.alike(q, c.other); got != c.want {
			t.Errorf("%v: %v", c.other, got)
		}
	}
	sure := Card{Detection: Detection{Corners: q, Confidence: 0.95}}
	unsure := Card{Detection: Detection{Corners: q, Confidence: 0.85}}
	if !p.seen(q, []Card{sure}) || p.seen(q, []Card{unsure}) || p.seen(q.Shift(50, 0), []Card{sure}) {
		t.Error("a sure card in the place is seen, an unsure one or one elsewhere is not")
	}
}

// TestShapedQuads: what a rectangle seen by a camera may look like, whichever corner comes first.
func TestShapedQuads(t *testing.T) {
	for _, c := range []struct {
		name string
		q    geometry.Quad
		want bool
	}{
		{"square", geometry.Upright(0, 0, 40, 40), true}, {"two by one", geometry.Upright(0, 0, 80, 40), true},
		{"three by one", geometry.Upright(0, 0, 120, 40), false},
		{"from the side", geometry.Quad{{X: 0, Y: 0}, {X: 60, Y: 8}, {X: 60, Y: 52}, {X: 0, Y: 60}}, true},
		{"a wedge", geometry.Quad{{X: 0, Y: 0}, {X: 60, Y: 20}, {X: 60, Y: 40}, {X: 0, Y: 60}}, false},
		{"sheared", geometry.Quad{{X: 0, Y: 0}, {X: 60, Y: 0}, {X: 110, Y: 40}, {X: 50, Y: 40}}, true},
		{"sheared far", geometry.Quad{{X: 0, Y: 0}, {X: 60, Y: 0}, {X: 140, Y: 40}, {X: 80, Y: 40}}, false},
		{"the wrong way round", geometry.Quad{{X: 0, Y: 0}, {X: 0, Y: 40}, {X: 40, Y: 40}, {X: 40, Y: 0}}, false},
	} {
		for range 4 {
			if got := defaults.Card.shaped(c.q); got != c.want {
				t.Errorf("%s, %v: %v", c.name, c.q, got)
			}
			c.q = geometry.Quad{c.q[1], c.q[2], c.q[3], c.q[0]}
		}
	}
}

// TestProposal: an area of a card is enclosed by the sides that end a rim beyond it; a thin cross in a quad is none.
func TestProposal(t *testing.T) {
	m := &pyramid.Components{Level: pyramid.New(300, 200, 2), Rim: 2.5}
	q := geometry.Upright(100, 60, 60, 50)
	p, ok := defaults.Card.proposal(m, &pyramid.Component{Area: 3000}, q, 1)
	if want := q.Grow(1.25); !ok || p.quad.Farthest(want) > 1e-9 {
		t.Errorf("%+v (%v), want sides at %v", p, ok, want)
	}
	if math.Abs(p.filled-1) > 0.02 {
		t.Errorf("%.3f filled by an area that is all of it", p.filled)
	}
	for name, c := range map[string]struct {
		area    int
		q       geometry.Quad
		outline float64
	}{
		"a cross": {1200, q, 1}, "ragged": {3000, q, 0.7}, "small": {36, geometry.Upright(0, 0, 6, 6), 1},
		"long": {3000, geometry.Upright(0, 0, 150, 20), 1},
	} {
		if p, ok := defaults.Card.proposal(m, &pyramid.Component{Area: c.area}, c.q, c.outline); ok {
			t.Errorf("%s: proposed %+v", name, p)
		}
	}
}

// TestCastCounts: what is neutral by itself, or under the light of the whole frame, counts; that for less.
func TestCastCounts(t *testing.T) {
	w := &defaults.Worth
	for _, c := range []struct {
		name string
		tone pyramid.Tone
		cast colourCast
		want float64
	}{
		{"grey", pyramid.Tone{R: 1, G: 1, B: 1}, colourCast{}, 1},
		{"a little warm", pyramid.Tone{R: 1.2, G: 1, B: 0.95}, colourCast{}, 1},
		{"half way", pyramid.Tone{R: 1.45, G: 1, B: 1}, colourCast{}, 0.5},
		{"red", pyramid.Tone{R: 2, G: 1, B: 1}, colourCast{}, 0},
		{"as the light is", pyramid.Tone{R: 1.9, G: 1, B: 0.1}, colourCast{0.9, -0.9}, w.CastWorth * 0.4},
	} {
		if got := w.neutral(c.tone, c.cast); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %.3f, want %.3f", c.name, got, c.want)
		}
	}
}

// goodView is a card that nothing speaks against.
func goodView() cardView {
	return cardView{quad: geometry.Upright(0, 0, 100, 100), share: 0.05, filled: 0.95, outline: 0.99, sides: 0.95,
		strong: 4, sharp: 0.9, corners: 4, rough: 1, texture: 0.01, slope: 0.02, around: 0.1}
}

// TestWorthFalls: each number that speaks against a card lowers its worth, more of it lowers it more, and none raises
// it.
func TestWorthFalls(t *testing.T) {
	w := &defaults.Worth
	good := goodView()
	if got := w.shape(&good); got != 1 {
		t.Fatalf("a good card is worth %.3f", got)
	}
	for name, spoil := range map[string]func(v *cardView, by float64){
		"sides":    func(v *cardView, by float64) { v.sides -= 0.5 * by },
		"strong":   func(v *cardView, by float64) { v.strong -= int(4 * by) },
		"sharp":    func(v *cardView, by float64) { v.sharp -= 0.6 * by },
		"filled":   func(v *cardView, by float64) { v.filled -= 0.6 * by },
		"corners":  func(v *cardView, by float64) { v.corners -= int(4 * by) },
		"carried":  func(v *cardView, by float64) { v.carried += int(8 * by) },
		"near":     func(v *cardView, by float64) { v.crowd.near += int(8 * by) },
		"twins":    func(v *cardView, by float64) { v.crowd.twins += int(20 * by) },
		"company":  func(v *cardView, by float64) { v.crowd.company += int(20 * by) },
		"walled":   func(v *cardView, by float64) { v.crowd.walled += int(8 * by) },
		"share":    func(v *cardView, by float64) { v.share += by },
		"slope":    func(v *cardView, by float64) { v.slope += 2 * by },
		"texture":  func(v *cardView, by float64) { v.texture += by },
		"wall":     func(v *cardView, by float64) { v.around += 4 * by; v.carried += int(4 * by) },
		"all bad":  func(v *cardView, by float64) { v.sides, v.sharp, v.strong = 0.95-by, 0.9-by, 4-int(4*by) },
		"unevenly": func(v *cardView, by float64) { v.rough += 3 * by; v.texture += 0.3 * by },
	} {
		last := 1.0
		for by := 0.0; by <= 1; by += 0.125 {
			v := goodView()
			spoil(&v, by)
			worth := w.shape(&v)
			if worth > last+1e-12 || worth < 0 {
				t.Errorf("%s, spoilt by %g: worth %.4f after %.4f", name, by, worth, last)
			}
			last = worth
		}
		if last > 0.5 {
			t.Errorf("%s, spoilt wholly: worth %.3f", name, last)
		}
	}
}

// TestLifelessField: what has neither noise nor light falling over it is clipped.
func TestLifelessField(t *testing.T) {
	w := &defaults.Worth
	v := goodView()
	v.texture, v.slope = 0, 0
	if got := w.shape(&v); math.Abs(got-(1-w.LifelessCost)*w.Shape) > 1e-9 {
		t.Errorf("worth %.3f", got)
	}
}

// TestLightWorth: a card is neither in the noise nor clipped.
func TestLightWorth(t *testing.T) {
	w := &defaults.Worth
	grey := func(stops curve.Stops, clipped curve.Share) float64 {
		l := stops.Light()
		light := Light{Luma: l, RGB: [3]curve.Light{l, l, l}, Clipped: clipped}
		return w.light(light, light.tone(-8), colourCast{})
	}
	for stops := curve.Stops(-3); stops <= 4.5; stops += 0.5 {
		if got := grey(stops, 0); math.Abs(got-1) > 1e-9 {
			t.Errorf("grey at %+.1f: worth %.3f", stops, got)
		}
	}
	if grey(-4.6, 0) != 0 || grey(5.6, 0) != 0 || grey(0, 0.05) != 0 {
		t.Errorf("in the noise %g, near the top %g, clipped %g", grey(-4.6, 0), grey(5.6, 0), grey(0, 0.05))
	}
}

// TestNoPaper: what nothing is brighter than counts for less, but where it can hardly be white paper.
func TestNoPaper(t *testing.T) {
	w := &defaults.Worth
	for _, tc := range []struct {
		stops  curve.Stops
		middle float64
		want   float64
	}{
		{2.3, 1.5, 1 - w.BrighterCost}, // white paper at nominal exposure
		{0, 0, 1},                      // paper would be 2.3 stops under
		{0, -3, 1 - w.BrighterCost},    // far over all that is about
	} {
		if got := w.noPaper(float64(tc.stops), 0, tc.middle); math.Abs(got-tc.want) > 1e-9 {
			t.Errorf("the brightest thing, at %+.1f in %+.1f: worth %.3f, want %.3f", tc.stops, tc.middle, got, tc.want)
		}
	}
}

// TestMadeAsCardsAre: of two areas whose shape and light are worth as much, the even and neutral one counts for
// more, a tinted one for less; nothing is raised over 1 or from 0.
func TestMadeAsCardsAre(t *testing.T) {
	w := &defaults.Worth
	tone := func(tint float64) pyramid.Tone { return pyramid.Tone{R: tint} }
	for _, worth := range []float64{0, 0.3, 0.6, 1} {
		plain := w.confidence(worth, 1, 0.05, tone(0.05))
		made := w.confidence(worth, 1, 0.005, tone(0.01))
		tinted := w.confidence(worth, 1, 0.005, tone(0.4))
		if math.Abs(float64(plain)-worth) > 1e-12 || math.Abs(float64(made)-math.Sqrt(worth)) > 1e-12 ||
			math.Abs(float64(tinted)-worth*(1-w.TintedCost)) > 1e-12 {
			t.Errorf("worth %.1f: %.3f, made as a card is %.3f, tinted %.3f", worth, plain, made, tinted)
		}
		if least := w.least(made); least > worth+1e-12 {
			t.Errorf("worth %.1f reaches %.3f, and is passed over: it is said to need %.3f", worth, made, least)
		}
	}
}

// TestRamp: 0 at None, 1 at Full, straight between, whichever is larger.
func TestRamp(t *testing.T) {
	for _, r := range []Ramp{{2, 4}, {4, 2}, {-1, 1}} {
		for k := -1.0; k <= 2; k += 0.25 {
			x := r.None + k*(r.Full-r.None)
			if got, want := r.of(x), math.Min(math.Max(k, 0), 1); math.Abs(got-want) > 1e-12 {
				t.Errorf("%+v at %g: %g, want %g", r, x, got, want)
			}
		}
	}
}

// TestCrowdCounts: of tiles around one, all are its twins, the eight near it are company, and it is walled in; a thing
// alone has none of them.
func TestCrowdCounts(t *testing.T) {
	area := func(x, y, side float64) pyramid.Component {
		return pyramid.Component{Area: int(side * side), Centre: geometry.Pt(x, y), XX: side * side / 12,
			YY: side * side / 12}
	}
	m := &pyramid.Components{Level: pyramid.New(400, 400, 2), Rim: 2}
	for n := range 25 {
		m.List = append(m.List, area(200+45*float64(n%5-2), 200+45*float64(n/5-2), 30))
	}
	q := geometry.Upright(184, 184, 32, 32)
	if c := crowdOf(m, q, &defaults); c.twins != 24 || c.near != 8 || c.company != 8 || c.walled == 0 {
		t.Errorf("a tile among 25: %+v", c)
	}
	m.List = append(m.List[12:13], area(30, 30, 80), area(360, 60, 9))
	if c := crowdOf(m, q, &defaults); c != (crowd{}) {
		t.Errorf("alone: %+v", c)
	}
}

// TestFlatPart: what a quad would be as a component has the area and the moments of the parallelogram, a rim drawn in.
func TestFlatPart(t *testing.T) {
	for _, c := range []struct {
		q    geometry.Quad
		w, h float64
	}{{geometry.Upright(10, 20, 60, 40), 57.5, 37.5}, {geometry.Upright(0, 0, 30, 90), 27.5, 87.5}} {
		got := flatPart(c.q, 2.5)
		if math.Abs(float64(got.Area)-c.w*c.h) > 1 || math.Abs(got.XX-c.w*c.w/12) > 1e-9 ||
			math.Abs(got.YY-c.h*c.h/12) > 1e-9 || got.XY != 0 || got.Centre != c.q.Centre() {
			t.Errorf("%v: %+v", c.q, got)
		}
		if s := got.Squareness(); math.Abs(s-1) > 0.01 {
			t.Errorf("%v: squareness %.3f", c.q, s)
		}
	}
	seen := map[int]bool{}
	for _, d := range []geometry.Point{{X: 1, Y: 1}, {X: -1, Y: 1}, {X: 1, Y: -1}, {X: -1, Y: -1}} {
		seen[quarterOf(d)] = true
	}
	if len(seen) != 4 {
		t.Errorf("quarters %v", seen)
	}
}

// scanOf is a scan of a grey frame that shows what paint says, in stops.
func scanOf(t *testing.T, w, h int, stops func(x, y int) curve.Stops) *scan {
	t.Helper()
	r := reading(t, "S-Log3")
	f := &decode.Frame{Layout: decode.Gray, Bits: r.Bits}
	p := plane(w, h)
	for y := range h {
		for x := range w {
			p.Samples[y*p.Stride+x] = uint16(math.Round(float64(r.CodeOf(stops(x, y).Light()))))
		}
	}
	f.Planes[0] = p
	s, ok := newScan(f, r, curve.BT709, Options{}.withDefaults(w))
	if !ok {
		t.Fatal("no scan")
	}
	return s
}

// TestAround: the area of a card's own tone near it, over its own: none where it lies before something else, the wall's
// where it is a part of it.
func TestAround(t *testing.T) {
	q := geometry.Upright(260, 160, 120, 80)
	in := func(x, y int) bool { return q.Contains(geometry.Pt(float64(x)+0.5, float64(y)+0.5)) }
	code := func(s *scan) *pyramid.Component {
		l := s.levels[0]
		return &pyramid.Component{Y: float64(l.Y[l.At(320/l.Scale, 200/l.Scale)])}
	}
	alone := scanOf(t, 640, 400, func(x, y int) curve.Stops {
		if in(x, y) {
			return 0
		}
		return -2
	})
	if got := alone.around(q, code(alone)); got > 0.02 {
		t.Errorf("before something dark: %.3f", got)
	}
	wall := scanOf(t, 640, 400, func(int, int) curve.Stops { return 0 })
	// 2.5 times as wide and as high, less the card and the rim about it
	l := wall.levels[min(wall.p.Card.AroundLevel, len(wall.levels)-1)]
	rim := q.Times(1/l.Scale).Grow(wall.p.Card.AroundRim).Area() * l.Scale * l.Scale / q.Area()
	want := wall.p.Card.AroundReach*wall.p.Card.AroundReach - rim
	if got := wall.around(q, code(wall)); math.Abs(got-want) > 0.4 {
		t.Errorf("part of a wall: %.2f, want %.2f", got, want)
	}
}

// TestBrighterShare: the share of a frame so many stops over a code.
func TestBrighterShare(t *testing.T) {
	for _, share := range []float64{0, 0.1, 0.35} {
		s := scanOf(t, 640, 400, func(x, y int) curve.Stops {
			if float64(y) < share*400 {
				return 1.5
			}
			return 0
		})
		grey := float64(reading(t, "S-Log3").CodeOf(curve.MidGrey)) * pyramid.SignalScale(10)
		if got := s.brighterShare(grey, 1); math.Abs(got-share) > 0.03 {
			t.Errorf("%.2f brighter: told %.3f", share, got)
		}
		if got := s.brighterShare(grey, 2); got != 0 {
			t.Errorf("two stops over grey: %.3f", got)
		}
	}
}

// TestScanRefuses: a frame too small to search has no scan, and nothing is found in it.
func TestScanRefuses(t *testing.T) {
	f := randomFrame(rand.New(rand.NewPCG(43, 1)), decode.YCbCr, 10, 32, 32, 2, 2)
	if _, ok := newScan(f, reading(t, "S-Log3"), curve.BT709, Options{}.withDefaults(32)); ok {
		t.Error("a frame of 32 x 32 is searched")
	}
	if found := Look(f, reading(t, "S-Log3"), curve.BT709, Options{}); len(found.all()) > 0 {
		t.Errorf("found %+v", found)
	}
}

// TestCast: the frame's own colour in stops, bounded.
func TestCast(t *testing.T) {
	tones := pyramid.NewToneTable(reading(t, "S-Log3"), &defaults.Flat)
	for _, c := range []struct{ rg, bg, wantRG, wantBG float64 }{
		{0, 0, 0, 0}, {0.3, -0.4, 0.3, -0.4}, {2, -3, 1, -1},
	} {
		t.Run(fmt.Sprint(c.rg, c.bg), func(t *testing.T) {
			r := reading(t, "S-Log3")
			code := func(stops float64) float64 {
				return float64(r.CodeOf(curve.Stops(stops).Light())) * pyramid.SignalScale(r.Bits)
			}
			m := curve.BT709
			red, green, blue := code(c.rg), code(0), code(c.bg)
			y := m.Kr*red + m.Kg()*green + m.Kb*blue
			l := pyramid.New(40, 40, 2)
			for i := range l.Y {
				l.Y[i], l.U[i], l.V[i] = int16(math.Round(y)), int16(math.Round(blue-y)), int16(math.Round(red-y))
			}
			got := castOf(l, tones, m, 1)
			if math.Abs(got.rg-c.wantRG) > 0.01 || math.Abs(got.bg-c.wantBG) > 0.01 {
				t.Errorf("cast %.3f, %.3f", got.rg, got.bg)
			}
		})
	}
}
