package find

import (
	"math"
	"os"
	"sort"
	"strconv"
	"testing"
	"time"
)

func envN(n int) int {
	if v, err := strconv.Atoi(os.Getenv("N")); err == nil {
		return v
	}
	return n
}

func TestDevChart(t *testing.T) {
	n := envN(60)
	found, wrong, ncard := 0, 0, 0
	var errs []float64
	var total time.Duration
	for seed := range uint64(n) {
		p := cached("chart", seed, func(s uint64) posed { return posedChart(s, false) })
		t0 := time.Now()
		f := Look(p.frame, p.reading, p.matrix, Options{SkipFaces: true})
		d := time.Since(t0)
		total += d
		ok := false
		for _, c := range f.Charts {
			w := 0.0
			for i := range c.Corners {
				w = math.Max(w, c.Corners[i].distance(p.corners[i]))
			}
			pitch := math.Min(p.corners.side(0), p.corners.side(2)) / 6
			good := w < pitch/4
			if good && math.Abs(c.Stops-p.stops) < 0.3 {
				ok = true
				errs = append(errs, math.Abs(c.Stops-p.stops))
			} else {
				wrong++
				t.Logf("WRONG %d corner err %.2f pitch", seed, w/pitch)
			}
			if os.Getenv("V") != "" || math.Abs(c.Stops-p.stops) > 0.05 || c.Doubt != nil {
				t.Logf("%d w=%.0f conf=%.2f x=%.3f stops %.3f true %.3f line %+v used %d across %.2f doubt %v", seed, p.sizePx, c.Confidence, c.Explained, c.Stops, p.stops, c.Line, c.Line.Used, c.Across, c.Doubt)
				if c.Doubt != nil {
					t.Log(c.Doubt.Kind, c.Doubt.Flare)
				}
			}
		}
		ncard += len(f.Cards)
		if ok {
			found++
		} else {
			t.Logf("MISSED %d w=%.0f stops %.1f", seed, p.sizePx, p.stops)
		}
	}
	sort.Float64s(errs)
	t.Logf("cards %d", ncard)
	t.Logf("found %d/%d wrong %d median err %.4f p95 %.3f, %v each", found, n, wrong, errs[len(errs)/2], errs[len(errs)*95/100], total/time.Duration(n))
}

func TestDevCard(t *testing.T) {
	n := envN(60)
	found, wrong := 0, 0
	var errs []float64
	var total time.Duration
	for seed := range uint64(n) {
		p := cached("card", seed, posedCard)
		t0 := time.Now()
		f := Look(p.frame, p.reading, p.matrix, Options{SkipFaces: true, Doubtful: 0.01})
		d := time.Since(t0)
		total += d
		ok := false
		for i, c := range f.Cards {
			in := quad(c.Corners).contains(p.corners.centre()) && p.corners.contains(quad(c.Corners).centre())
			if in && math.Abs(c.Stops-p.stops) < 0.2 && c.Confidence >= certain {
				if ok = i == 0; ok {
					errs = append(errs, math.Abs(c.Stops-p.stops))
				}
			} else if c.Confidence >= certain {
				if i == 0 {
					wrong++
				}
				t.Logf("WRONG %d conf %.2f at %.0f stops %.2f true %.2f", seed, c.Confidence, c.Corners, c.Stops, p.stops)
			}
			if os.Getenv("V") != "" {
				t.Logf("%d size=%.0f conf=%.2f stops %.3f true %.3f ", seed, p.sizePx, c.Confidence, c.Stops, p.stops)
			}
		}
		for _, c := range f.Charts {
			t.Logf("WRONG %d chart conf=%.2f at %.0f", seed, c.Confidence, c.Corners)
		}
		if ok {
			found++
		} else {
			t.Logf("MISSED %d size=%.0f stops %.1f colour", seed, p.sizePx, p.stops)
		}
	}
	sort.Float64s(errs)
	t.Logf("found %d/%d wrong %d median err %.4f p95 %.3f, %v each", found, n, wrong, errs[len(errs)/2], errs[len(errs)*95/100], total/time.Duration(n))
}

func TestDevEmpty(t *testing.T) {
	n := envN(70)
	bad := 0
	for seed := range uint64(n) {
		p := cached("empty", seed, emptyScene)
		f := Look(p.frame, p.reading, p.matrix, Options{SkipFaces: true})
		if len(f.Cards)+len(f.Charts) > 0 {
			bad++
		}
		for _, c := range f.Cards {
			t.Logf("%d %s card %.2f %.0f stops %.2f", seed, emptyKinds[seed%uint64(len(emptyKinds))].name, c.Confidence, c.Corners, c.Stops)
		}
		for _, c := range f.Charts {
			t.Logf("%d %s CHART %.2f %.0f stops %.2f", seed, emptyKinds[seed%uint64(len(emptyKinds))].name, c.Confidence, c.Corners, c.Stops)
		}
	}
	t.Logf("bad %d/%d", bad, n)
}
