package advise

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/display"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/curve/lut"
)

// A tone is the display signal of scene-linear light through a display transform.
type tone func(light float64) float64

// acesTones are the ACES output transforms of testdata/aces_tones.csv by name, for SDR and HDR
// displays, and the built-in rendering. Between rows they are straight in stops.
func acesTones(t *testing.T) map[string]tone {
	t.Helper()
	f, err := os.Open("testdata/aces_tones.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	reader := csv.NewReader(f)
	reader.Comment = '#'
	rows, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	columns := make([][]float64, len(rows[0]))
	for _, row := range rows[1:] {
		for i, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			columns[i] = append(columns[i], v)
		}
	}
	all := map[string]tone{"built-in": func(x float64) float64 {
		return float64(display.Render(curve.Light(x)).Signal()) / 100
	}}
	for i, signal := range columns[1:] {
		at := columns[0]
		all[rows[0][i+1]] = func(x float64) float64 {
			stops := math.Log2(max(x, 1e-9) / 0.18)
			k := min(max(sort.SearchFloat64s(at, stops), 1), len(at)-1)
			on := min(max((stops-at[k-1])/(at[k]-at[k-1]), 0), 1)
			return signal[k-1] + on*(signal[k]-signal[k-1])
		}
	}
	return all
}

// madeFor writes a display transform of the tones for a curve, as a table of 257 entries, and reads it.
func madeFor(t *testing.T, c *curve.Curve, of tone, placed curve.Stops) *display.File {
	return tableFor(t, c, of, placed, 257)
}

// tableFor is madeFor with another number of entries.
func tableFor(t *testing.T, c *curve.Curve, of tone, placed curve.Stops, entries int) *display.File {
	t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b, "LUT_1D_SIZE %d\n", entries)
	for i := range entries {
		v := of(float64(c.Decode(float64(i)/float64(entries-1))) / math.Exp2(float64(placed)))
		fmt.Fprintf(&b, "%.6[1]f %.6[1]f %.6[1]f\n", v)
	}
	path := filepath.Join(t.TempDir(), "look.cube")
	if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	made, err := lut.LoadTransform(path)
	if err != nil {
		t.Fatal(err)
	}
	return &display.File{Path: path, Digest: made.Digest, Domain: curve.CurveDomain, Expects: placed, Made: made}
}

// doubted returns the doubt that a file was made for the curve of a reading, "" for none.
func doubted(f *display.File, r curve.Reading) string {
	for _, found := range displayFindings(Facts{Reading: r, Display: f.For(r)}) {
		return found.Text
	}
	return ""
}

// logCurves are the curves that cameras record for grading.
func logCurves() (all []*curve.Curve) {
	for _, c := range curve.All() {
		if c.Recorded && c.Name != "BT.709" { // no display transform is made for it
			all = append(all, c)
		}
	}
	return all
}

// TestDisplayMadeForTheCurve: no display transform, for SDR or HDR, is doubted where it was made for
// the curve, also for grey placed elsewhere, and those made for another curve by a stop or more at grey
// are doubted mostly. Which those are is reckoned from the two curves.
func TestDisplayMadeForTheCurve(t *testing.T) {
	far, found := 0, 0
	for name, of := range acesTones(t) {
		for _, c := range logCurves() {
			r := curve.Reading{Curve: c, Bits: 10}
			for _, placed := range []curve.Stops{0, 1, -0.5} {
				if placed > 0 && c.Decode(1) < 8 { // no room over grey: white would be cut
					continue
				}
				for _, entries := range []int{17, 33, 257} { // as to an edge of a three-dimensional table
					if said := doubted(tableFor(t, c, of, placed, entries), r); said != "" {
						t.Errorf("%s for %s, %d entries, grey at %+.1f: %s", name, c.Name, entries, placed, said)
					}
				}
			}
			file := madeFor(t, c, of, 0)
			for _, other := range logCurves() {
				seen := float64(c.Decode(other.Encode(curve.MidGrey)))
				if off := math.Abs(math.Log2(max(seen, 1e-6) / curve.MidGrey)); off < 1 {
					continue
				}
				far++
				if unlike(file.For(curve.Reading{Curve: other, Bits: 10}).Fit(other)) != "" {
					found++
				}
			}
		}
	}
	t.Logf("%d of %d made for another curve were doubted", found, far)
	if found*100 < far*80 {
		t.Errorf("%d of %d made for another curve were doubted", found, far)
	}
}

func TestDisplayDoubtSays(t *testing.T) {
	slog3, vlog := named(t, "S-Log3"), named(t, "V-Log")
	of := acesTones(t)["sdr-video"]
	over := madeFor(t, slog3, of, 0)
	over.Expects = 3
	for _, tc := range []struct {
		file *display.File
		c    *curve.Curve
		says []string
	}{
		{madeFor(t, named(t, "LogC4"), of, 0), slog3,
			[]string{"look.cube may not be made for S-Log3", "or a curve like it, better"}},
		{madeFor(t, vlog, func(float64) float64 { return 0.4 }, 0), vlog, []string{"grey placed as it expects", "100 %"}},
		{over, slog3, []string{"grey placed as it expects would show at 87 %", "--expects", "--domain video"}},
	} {
		said := doubted(tc.file, curve.Reading{Curve: tc.c, Bits: 10})
		for _, words := range tc.says {
			if !strings.Contains(said, words) {
				t.Errorf("%q lacks %q", said, words)
			}
		}
	}
}

func named(t *testing.T, name string) *curve.Curve {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestThroughADisplayFile: a clip 1.65 stops over with a clipped sky, pulled through ACES for SDR video:
// grey shows at its 39.0 % and the ceiling where the tones of the table have it, of the highest of the
// curve's.
func TestThroughADisplayFile(t *testing.T) {
	slog3 := named(t, "S-Log3")
	r := curve.Reading{Curve: slog3, Bits: 10}
	of := acesTones(t)["sdr-video"]
	f := clearFacts(t)
	f.Reading = r
	f.Placement = &placement.Placement{Stops: 1.65, Low: 1.6, High: 1.7, Method: placement.Card, Reflectance: 0.18}
	f.Clipping = &clipping.Result{Headroom: curve.Unknown[curve.Stops](), Clipped: clipping.Shares{Any: 0.04, All: 0.04},
		Ceiling: clipping.Ceiling{Level: r.Level(r.CodeOf(curve.Stops(4).Light())), Recorded: 4, Origin: clipping.Measured},
		Areas:   []clipping.Area{{Share: 0.04, Kind: clipping.Field}}}
	f.Display = madeFor(t, slog3, of, 0).For(r)
	a := Advise(f)
	d := a.After.Display
	if d == nil {
		t.Fatal("nothing of the display")
	}
	white := of(float64(slog3.Decode(1)))
	wantGrey, wantCeiling := 100*of(0.18)/white, 100*of(0.18*math.Exp2(4-1.65))/white
	if math.Abs(float64(d.Grey)-wantGrey) > 0.2 || math.Abs(float64(d.Ceiling)-wantCeiling) > 0.2 ||
		a.After.Ceiling != d.Ceiling || math.Abs(float64(d.Nominal-d.Grey)) > 1e-9 {
		t.Errorf("%+v: want grey at %.1f and the ceiling at %.1f %%", *d, wantGrey, wantCeiling)
	}
	if math.Abs(float64(d.White)-100*white) > 0.2 || d.File == "" || d.Digest == "" || len(d.Tones) < 20 {
		t.Errorf("%+v", *d)
	}
	if !strings.Contains(a.Summary, "Through look.cube grey then shows at 39 % and the ceiling at 80 % of its white.") {
		t.Errorf("summary: %s", a.Summary)
	}
	grey := false
	for _, found := range a.Findings {
		grey = grey || found.ID == GreyCeiling &&
			strings.Contains(found.Text, "80 %") && strings.Contains(found.Text, "look.cube")
	}
	if !grey {
		t.Errorf("no grey ceiling in %+v", a.Findings)
	}
	f.Placement = nil
	if d := Advise(f).After.Display; d == nil || curve.Finite(d.Grey) || !(d.Ceiling > 92) {
		t.Errorf("without grey: %+v", d)
	}
}
