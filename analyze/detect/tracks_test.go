package detect

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// sighted is a card seen in a frame, of a side in pixels.
func sighted(index int, x, y, side float64, stops curve.Stops) Sighting {
	return Sighting{Index: index, Detection: Detection{Corners: box(geometry.Pt(x, y), side), Stops: stops}}
}

// TestDistanceToATrack: how far off in sizes, from where the thing was or would be if it went on, and
// in stops as a share of what may differ; never for what grew twofold, or reads another light in another place.
func TestDistanceToATrack(t *testing.T) {
	inf := math.Inf(1)
	still := &Evidence{Sightings: []Sighting{sighted(0, 300, 300, 100, 1)}}
	moving := &Evidence{Sightings: []Sighting{sighted(0, 300, 300, 100, 1), sighted(10, 360, 300, 100, 1)}}
	for _, c := range []struct {
		name  string
		track *Evidence
		next  Sighting
		want  float64
	}{
		{"in place", still, sighted(5, 300, 300, 100, 1), 0},
		{"half a size off", still, sighted(5, 350, 300, 100, 1), 0.5},
		{"other stops", still, sighted(5, 300, 300, 100, 1.15), 0.5},
		{"both", still, sighted(5, 330, 340, 100, 0.85), 1},
		{"too many stops", still, sighted(5, 310, 300, 100, 1.31), inf},
		{"an iris pulled", still, sighted(5, 300, 300, 100, 2.5), 5},
		{"far off, much the same light", still, sighted(5, 700, 300, 100, 1.1), 4 + 0.1/0.3},
		{"far off, another light", still, sighted(5, 700, 300, 100, 1.2), inf},
		{"ever so far", still, sighted(5, 9000, 300, 100, 1), 10},
		{"twice as large", still, sighted(5, 300, 300, 200, 1), inf},
		{"nearly so", still, sighted(5, 300, 300, 199, 1), 0},
		{"half as large", still, sighted(5, 300, 300, 50, 1), inf},
		{"going on", moving, sighted(20, 420, 300, 100, 1), 0},
		{"going on for half the time", moving, sighted(15, 390, 300, 100, 1), 0},
		{"standing", moving, sighted(20, 360, 300, 100, 1), 0},
		{"turning back", moving, sighted(20, 300, 300, 100, 1), 0.6},
	} {
		got := c.track.distance(c.next, &defaults.Agree)
		if got != c.want && math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: %.4f, want %.4f", c.name, got, c.want)
		}
	}
}

// TestTwoThingsKeepTheirTracks: two cards that move past each other in opposite directions, seen in
// random order in each frame, are two things all along.
func TestTwoThingsKeepTheirTracks(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	var frames []Findings
	for i := range 21 {
		cards := []Card{cardAt(300+20*float64(i), 300, 0.5, 0.9), cardAt(700-20*float64(i), 420, 0.6, 0.8)}
		if rng.IntN(2) == 0 {
			slices.Reverse(cards)
		}
		frames = append(frames, seen(i, cards...))
	}
	found := Agree(frames)
	if len(found) != 2 {
		t.Fatalf("%d things", len(found))
	}
	for k, y := range []float64{300, 420} {
		if len(found[k].Sightings) != 21 {
			t.Errorf("thing %d is seen %d times", k, len(found[k].Sightings))
		}
		for _, s := range found[k].Sightings {
			if s.Corners.Centre().Y != y {
				t.Fatalf("thing %d jumps to row %.0f in frame %d", k, s.Corners.Centre().Y, s.Index)
			}
		}
	}
}

// TestErrorOfEvidence: sightings that scatter normally around the truth have a median that scatters
// by 1.25 sigma / sqrt(n) (asymptotic efficiency of the median, 2/pi; from memory); the error said is
// what is not known of the card and the scatter's part, sigma / sqrt(n).
func TestErrorOfEvidence(t *testing.T) {
	const sigma, n, clips = 0.04, 25, 400
	rng := rand.New(rand.NewPCG(8, 1))
	var medians, said []float64
	for range clips {
		var frames []Findings
		for i := range n {
			frames = append(frames, seen(i, cardAt(300, 300, curve.Stops(1+sigma*rng.NormFloat64()), 0.9)))
		}
		found := Agree(frames)
		if len(found) != 1 || len(found[0].Sightings) != n {
			t.Fatalf("%d things", len(found))
		}
		medians, said = append(medians, float64(found[0].Stops)), append(said, float64(found[0].Error))
	}
	if got, want := stat.StdDev(medians, nil), 1.2533*sigma/5; math.Abs(got/want-1) > 4/math.Sqrt(2*clips) {
		t.Errorf("medians scatter by %.5f stops, want %.5f", got, want)
	}
	if got, want := stat.Mean(said, nil), math.Hypot(0.1, sigma/5); math.Abs(got/want-1) > 0.01 {
		t.Errorf("an error of %.5f stops, want %.5f", got, want)
	}
}

// TestLoneSighting: what one frame of three or more shows counts for less.
func TestLoneSighting(t *testing.T) {
	for looked, want := range map[int]curve.Ratio{1: 0.9, 2: 0.9, 3: 0.72, 9: 0.72} {
		frames := []Findings{seen(0, cardAt(300, 300, 0.5, 0.9))}
		for i := 1; i < looked; i++ {
			frames = append(frames, seen(i))
		}
		if found := Agree(frames); len(found) != 1 || off(found[0].Confidence, want) > 1e-9 {
			t.Errorf("one of %d frames: %+v, want confidence %.2f", looked, found, float64(want))
		}
	}
}

// TestKindText: kinds are written and read by their names, and nothing else is one.
func TestKindText(t *testing.T) {
	for k, name := range map[Kind]string{ChartKind: "chart", CardKind: "card", FaceKind: "face"} {
		var back Kind
		text, err := k.MarshalText()
		if err != nil || string(text) != name || back.UnmarshalText(text) != nil || back != k {
			t.Errorf("%d is written %q and read %d", int(k), text, int(back))
		}
	}
	var k Kind
	if err := k.UnmarshalText([]byte("wall")); err == nil {
		t.Error("a wall is a kind of evidence")
	}
	if got := Kind(7).String(); got != "kind 7" {
		t.Errorf("an unknown kind is called %q", got)
	}
}
