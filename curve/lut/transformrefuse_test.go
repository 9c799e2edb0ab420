package lut

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// corner is a two-point table with only its white corner 1: by hand, tetrahedral gives the least of R,
// G and B, trilinear their product.
const corner = "LUT_3D_SIZE 2\n0 0 0\n0 0 0\n0 0 0\n0 0 0\n0 0 0\n0 0 0\n0 0 0\n1 1 1\n"

func TestBetweenPointsByHand(t *testing.T) {
	path := transformFile(t, "corner.cube", corner)
	for _, rgb := range [][3]float64{{0.5, 0.5, 0.5}, {0.8, 0.5, 0.25}, {0.25, 0.8, 0.5}, {0.3, 0.2, 0.9}, {1, 1, 1}} {
		want := min(rgb[0], rgb[1], rgb[2])
		if got := loaded(t, path, "").RGB(rgb); math.Abs(got[0]-want) > 1e-12 {
			t.Errorf("tetrahedral at %v: %g, want %g", rgb, got[0], want)
		}
		want = rgb[0] * rgb[1] * rgb[2]
		if got := loaded(t, path, "trilinear").RGB(rgb); math.Abs(got[0]-want) > 1e-12 {
			t.Errorf("trilinear at %v: %g, want %g", rgb, got[0], want)
		}
	}
}

// TestFastest: red changes fastest in a cube, blue in CLF (both formats' own texts).
func TestFastest(t *testing.T) {
	const points = "0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 0 1\n1 0 1\n0 1 1\n1 1 1\n"
	cube := transformFile(t, "a.cube", "LUT_3D_SIZE 2\n"+points)
	clf := transformFile(t, "a.clf", clfOf(clfNodeOf("LUT3D", "", `<Array dim="2 2 2 3">`+points+`</Array>`)))
	for rgb, want := range map[string][3]float64{cube: {0.1, 0.5, 0.8}, clf: {0.8, 0.5, 0.1}} {
		got := loaded(t, rgb, "").RGB([3]float64{0.1, 0.5, 0.8})
		for c := range 3 {
			if math.Abs(got[c]-want[c]) > 1e-6 {
				t.Errorf("%s: %v, want %v", filepath.Base(rgb), got, want)
			}
		}
	}
}

var refusedTransforms = []refusal{
	{"empty.cube", "", "has 0 entries"},
	{"nosize.cube", "# x\n0 0 0\n", "line 2: is an entry before the size"},
	{"word.cube", "LUT_3D_SIZE 2\nLUT_IN_VIDEO_RANGE\n", `line 2: "LUT_IN_VIDEO_RANGE" is neither`},
	{"nan.cube", "LUT_1D_SIZE 2\n0 0 0\n1 nan 1\n", "line 3"},
	{"comma.cube", "LUT_1D_SIZE 2\n0,0 0,0 0,0\n", "line 2: an entry has 3 numbers, not 6"},
	{"short.cube", corner[:len(corner)-6], "has 7 entries where its sizes make 8"},
	{"long.cube", corner + "1 1 1\n", "line 10: is one entry more than the 8"},
	{"one.cube", "LUT_3D_SIZE 1\n", "line 1: a table has two or more points to an edge"},
	{"huge.cube", "LUT_3D_SIZE 200\n", "line 1: \"200\" is not a whole number from 1 to 129"},
	{"domain.cube", "LUT_1D_SIZE 2\nDOMAIN_MAX 1 0 1\n0 0 0\n1 1 1\n", "must rise"},
	{"domains.cube", "LUT_1D_SIZE 2\nDOMAIN_MAX 1\n0 0 0\n1 1 1\n", "DOMAIN_MAX takes three numbers"},
	{"range.cube", "LUT_3D_SIZE 2\nLUT_3D_INPUT_RANGE 0\n", "line 2: LUT_3D_INPUT_RANGE takes two numbers"},
	{"mixed.cube", "LUT_1D_SIZE 2\nLUT_3D_SIZE 2\nDOMAIN_MAX 2 2 2\n0 0 0\n1 1 1\n" + corner[14:],
		"say which one's input"},
	{"large.cube", "LUT_1D_SIZE 2\n0 0 0\n1e300 1 1\n", "too large"},
	{"deep.cube", strings.Replace(corner, "1 1 1", "1e300 1 1", 1), "line 9: 1e+300 is too large"},
	{"bytes.cube", "\x00\x01", "line 1"},
	{"look.3dl", "0 64 128\n", "neither a .cube nor a .clf"},
	{"text.clf", "hello", "is not XML"},
	{"cut.clf", `<ProcessList id="x" compCLFversion="3"><LUT1D`, "is not readable XML"},
	{"none.clf", clfOf("<Info><a/></Info>"), "has no node"},
	{"other.clf", clfOf("\n" + clfNodeOf("Gamma", "", "")), "line 2: node 1, Gamma: is not known"},
	{"depth.clf", clfOf(`<Matrix inBitDepth="9i" outBitDepth="32f"/>`), "line 1: node 1, Matrix: its bit depths"},
	{"array.clf", clfOf(clfNodeOf("LUT1D", "", "<Array dim=\"3 1\">0\n0.5\none</Array>")),
		`line 3: "one" is not a number`},
	{"inside.clf", clfOf(clfNodeOf("LUT1D", "", `<Array dim="2 1">0 <b>1</b></Array>`)), "its Array holds a b"},
	{"few.clf", clfOf(clfNodeOf("LUT3D", "", `<Array dim="2 2 2 3">0 1</Array>`)), "has 2 numbers where dim says 24"},
	{"dim.clf", clfOf(clfNodeOf("LUT3D", "", `<Array dim="2 3 2 3">0 1</Array>`)), "is not N N N 3"},
	{"edge.clf", clfOf(clfNodeOf("LUT3D", "", `<Array dim="999 999 999 3">0 1</Array>`)), "is not N N N 3"},
	{"between.clf", clfOf(clfNodeOf("LUT3D", `interpolation="prism"`, `<Array dim="2 2 2 3">`+
		strings.Repeat("0 ", 24)+`</Array>`)), "neither trilinear nor tetrahedral"},
	{"hue.clf", clfOf(clfNodeOf("LUT1D", `hueAdjust="dw3"`, `<Array dim="2 1">0 1</Array>`)), "hueAdjust"},
	{"half.clf", clfOf(clfNodeOf("LUT1D", `halfDomain="true"`, `<Array dim="2 1">0 1</Array>`)), "not 65536"},
	{"raw.clf", clfOf(clfNodeOf("LUT1D", `rawHalfs="true"`, `<Array dim="2 1">0 0.5</Array>`)), "not whole numbers"},
	{"pair.clf", clfOf(clfNodeOf("Range", "", `<minInValue>0</minInValue>`)), "both pairs"},
	{"scale.clf", clfOf(clfNodeOf("Range", "", `<minInValue>0</minInValue><minOutValue>0.1</minOutValue>`)),
		"must not scale"},
	{"open.clf", clfOf(clfNodeOf("Range", `style="noClamp"`, `<minInValue>0</minInValue><minOutValue>0</minOutValue>`)),
		"needs minInValue, maxInValue"},
	{"falls.clf", clfOf(clfNodeOf("Range", "", `<minInValue>1</minInValue><minOutValue>0</minOutValue>`+
		`<maxInValue>0</maxInValue><maxOutValue>1</maxOutValue>`)), "do not rise"},
	{"style.clf", clfOf(clfNodeOf("Exponent", `style="gamma"`, `<ExponentParams exponent="2"/>`)), "its style is none of"},
	{"channels.clf", clfOf(clfNodeOf("Exponent", `style="basicFwd"`, `<ExponentParams channel="R" exponent="2"/>`)),
		"for some channels only"},
	{"noexponent.clf", clfOf(clfNodeOf("Exponent", `style="basicFwd"`, `<ExponentParams/>`)), "from 0.01 to 100"},
	{"offset.clf", clfOf(clfNodeOf("Exponent", `style="monCurveFwd"`, `<ExponentParams exponent="2"/>`)),
		"offset not from"},
	{"power.clf", clfOf(clfNodeOf("ASC_CDL", "", `<SOPNode><Slope>1 1 1</Slope><Offset>0 0 0</Offset>`+
		`<Power>1 0 1</Power></SOPNode>`)), "Power above 0"},
	{"two.clf", clfOf(clfNodeOf("ASC_CDL", "", `<SOPNode><Slope>1 1</Slope></SOPNode>`)),
		"its Slope is not three numbers"},
	{"sat.clf", clfOf(clfNodeOf("ASC_CDL", "", `<SatNode/>`)), "has no Saturation"},
	{"grow.clf", clfOf(strings.Repeat(clfNodeOf("Matrix", "", `<Array dim="3 3">1e30 0 0 0 1e30 0 0 0 1</Array>`), 3)),
		"too large"},
}

// What is not understood is refused, and the message says what and in which line.
func TestTransformRefuses(t *testing.T) {
	for _, tc := range refusedTransforms {
		path := transformFile(t, tc.name, tc.content)
		_, err := LoadTransform(path)
		if err == nil {
			t.Errorf("%s was read", tc.name)
			continue
		}
		said, ours := strings.CutPrefix(err.Error(), "display file "+path+": ")
		if !ours || !strings.Contains(said, tc.says) || strings.Contains(said, "\n") {
			t.Errorf("%s: %q, want one line with the path and %q", tc.name, err, tc.says)
		}
	}
	if _, err := LoadTransform(t.TempDir()); err == nil || !strings.Contains(err.Error(), "not a file") {
		t.Errorf("a folder: %v", err)
	}
	big := filepath.Join(t.TempDir(), "big.cube")
	f, err := os.Create(big)
	if err == nil {
		err = f.Truncate(maxTransformBytes + 1)
	}
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	if _, err := LoadTransform(big); err == nil || !strings.Contains(err.Error(), "larger than 96 MB") {
		t.Errorf("a file over the bound: %v", err)
	}
}

// TestLargestTransform: the largest table is read, and gives its points back.
func TestLargestTransform(t *testing.T) {
	if os.Getenv("STOPLEDGER_FULL") == "" {
		t.Skip("takes seconds: STOPLEDGER_FULL=1")
	}
	var b strings.Builder
	fmt.Fprintf(&b, "LUT_3D_SIZE %d\n", mostEdge)
	for i := range mostEdge * mostEdge * mostEdge {
		fmt.Fprintf(&b, "%.6f %.6f %.6f\n", float64(i%mostEdge)/128, float64(i/mostEdge%mostEdge)/128, 0.5)
	}
	path := transformFile(t, "large.cube", b.String())
	began := time.Now()
	made := loaded(t, path, "")
	t.Logf("%d MB in %v", b.Len()>>20, time.Since(began))
	for i := range mostEdge {
		x := float64(i) / 128
		if got := made.RGB([3]float64{x, 1 - x, x}); math.Abs(got[0]-x) > 1e-6 || math.Abs(got[1]-1+x) > 1e-6 {
			t.Fatalf("at %g: %v", x, got)
		}
	}
}

// fuzzTransform feeds a reader anything. What it takes for a transform must compute: no colour is a
// panic, and none in 0..1 is no number.
func fuzzTransform(f *testing.F, extension string, seeds map[string]string) {
	for _, s := range seeds {
		if len(s) < 1<<16 {
			f.Add([]byte(s))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		made, err := transformOf(data, extension)
		if err != nil {
			return
		}
		for _, v := range []float64{math.Inf(-1), -1e30, -1, -1e-9, 0, 0.25, 0.5, 1, 1.1, 1e30, math.Inf(1), math.NaN()} {
			got := made.RGB([3]float64{v, 0.5, 1 - v})
			if v >= 0 && v <= 1 && math.IsNaN(got[0]+got[1]+got[2]) && computesEverywhere(made) {
				t.Fatalf("at %g: %v", v, got)
			}
		}
	})
}

// computesEverywhere tells whether every step takes any number: a difference of two infinite ones is none.
func computesEverywhere(made *Transform) bool {
	for _, s := range made.steps {
		switch s.(type) {
		case *lookup, *lattice, *halfLookup:
		default:
			return false
		}
	}
	return true
}

func FuzzTransformCube(f *testing.F) { fuzzTransform(f, ".cube", cubes(1)) }

func FuzzTransformCLF(f *testing.F) {
	seeds := map[string]string{}
	for name, nodes := range transformNodes() {
		seeds[name] = clfOf(nodes)
	}
	fuzzTransform(f, ".clf", seeds)
}
