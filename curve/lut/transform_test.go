package lut

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve/ocio"
)

// colours are a ramp of neutrals and random colours, some outside 0..1.
func colours(seed uint64) (all [][3]float64) {
	random := rand.New(rand.NewPCG(seed, 17))
	for i := range 65 {
		v := float64(i)/48 - 0.15
		all = append(all, [3]float64{v, v, v})
	}
	for range 400 {
		all = append(all, [3]float64{1.4*random.Float64() - 0.2, 1.4*random.Float64() - 0.2, 1.4*random.Float64() - 0.2})
	}
	return all
}

// transformFile writes a file of a transform.
func transformFile(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// entriesOf are so many random entries, each near its place so that a table resembles one in use.
func entriesOf(random *rand.Rand, n int, place func(i int) [3]float64) string {
	var b strings.Builder
	for i := range n {
		for _, v := range place(i) {
			fmt.Fprintf(&b, "%.7f ", math.Pow(v, 1.3)+0.1*random.Float64()-0.03)
		}
		b.WriteString("\n")
	}
	return b.String()
}

func ramp(n int) func(i int) [3]float64 {
	return func(i int) [3]float64 {
		v := float64(i) / float64(n-1)
		return [3]float64{v, v, v}
	}
}

func grid(edge int) func(i int) [3]float64 {
	at := func(i int) float64 { return float64(i%edge) / float64(edge-1) }
	return func(i int) [3]float64 { return [3]float64{at(i), at(i / edge), at(i / edge / edge)} }
}

// cubes are cube files of every kind.
func cubes(seed uint64) map[string]string {
	random := rand.New(rand.NewPCG(seed, 3))
	lattice := func(edge int) string { return entriesOf(random, edge*edge*edge, grid(edge)) }
	return map[string]string{
		"one":    "TITLE \"one # of them\"\nLUT_1D_SIZE 257\n" + entriesOf(random, 257, ramp(257)),
		"domain": "LUT_1D_SIZE 33\nDOMAIN_MIN 0 0 0\nDOMAIN_MAX 1.0902 1.5 2\n" + entriesOf(random, 33, ramp(33)),
		"below":  "LUT_1D_SIZE 33\nDOMAIN_MIN -0.1 -0.05 0\nDOMAIN_MAX 1.1 1.2 1\n" + entriesOf(random, 33, ramp(33)),
		"two":    "LUT_3D_SIZE 2\r\n" + strings.ReplaceAll(lattice(2), "\n", "\r\n"),
		"three":  "# a comment\nTITLE \"x\"\nLUT_3D_SIZE 17\n\n" + lattice(17),
		"wide":   "LUT_3D_SIZE 9\nDOMAIN_MIN 0 0 0\nDOMAIN_MAX 1.0902 1.0902 1.0902\n" + lattice(9),
		"under":  "LUT_3D_SIZE 9\nDOMAIN_MIN -0.07 -0.07 -0.1\nDOMAIN_MAX 1.1 1 1\n" + lattice(9),
		"both": "LUT_1D_SIZE 65\nLUT_1D_INPUT_RANGE -0.1 1.2\nLUT_3D_SIZE 5\nLUT_3D_INPUT_RANGE 0.0 1.1\n" +
			entriesOf(random, 65, ramp(65)) + lattice(5),
		"range": "LUT_3D_SIZE 5\nLUT_3D_INPUT_RANGE -0.2 1.3\n" + lattice(5),
	}
}

// loaded reads a transform, between the points of its last table as asked for.
func loaded(t *testing.T, path, between string) *Transform {
	t.Helper()
	made, err := LoadTransform(path)
	if err != nil {
		t.Fatal(err)
	}
	if l, ok := made.steps[len(made.steps)-1].(*lattice); ok && between != "" {
		l.trilinear = between == "trilinear"
	}
	return made
}

// farthest returns the largest difference between a transform and what others make of colours, of
// values above 1, as light has, relative to them.
func farthest(made *Transform, of, theirs [][3]float64) (most float64, colour [3]float64) {
	for i, c := range of {
		for k, v := range made.RGB(c) {
			if d := math.Abs(v-theirs[i][k]) / max(1, math.Abs(v)); !(d <= most) {
				most, colour = d, c
			}
		}
	}
	return most, colour
}

// asOpenColorIO compares files with OpenColorIO and logs how far they are apart.
func asOpenColorIO(t *testing.T, names []string, files []ocio.File) {
	of := colours(1)
	for i, theirs := range ocio.Colours(t, files, of) {
		most, colour := farthest(loaded(t, files[i].Path, files[i].Between), of, theirs)
		if !(most <= displayApart) {
			t.Errorf("%s %s: %.2g apart at %.4f", names[i], files[i].Between, most, colour)
		}
		t.Logf("%s %s: %.2g", names[i], files[i].Between, most)
	}
}

func TestCubesAsOpenColorIO(t *testing.T) {
	var names []string
	var files []ocio.File
	for name, text := range cubes(5) {
		path := transformFile(t, name+".cube", text)
		for _, between := range []string{"tetrahedral", "trilinear"} {
			if name == "one" && between == "tetrahedral" || name == "domain" || name == "below" {
				between = "trilinear" // as OpenColorIO calls straight lines
			}
			names, files = append(names, name), append(files, ocio.File{Path: path, Between: between})
		}
	}
	asOpenColorIO(t, names, files)
}

// TestCubesAsFFmpeg leaves out lowest inputs other than 0, which FFmpeg 5.1 does not subtract, and
// files of two tables, which it does not read. Where the highest input is above 1 it takes what lies
// above 1 for 1, so that only colours in 0..1 are compared.
func TestCubesAsFFmpeg(t *testing.T) {
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("ffmpeg is not installed")
	}
	files := cubes(6)
	for name, filters := range map[string][]string{
		"one": {"lut1d=interp=linear"}, "domain": {"lut1d=interp=linear"},
		"two":   {"lut3d=interp=tetrahedral", "lut3d=interp=trilinear"},
		"three": {"lut3d=interp=tetrahedral", "lut3d=interp=trilinear"},
		"wide":  {"lut3d=interp=tetrahedral", "lut3d=interp=trilinear"},
	} {
		path := transformFile(t, name+".cube", files[name])
		of := colours(2)
		if name == "domain" || name == "wide" {
			for i := range of {
				for c := range 3 {
					of[i][c] = min(max(of[i][c], 0), 1)
				}
			}
		}
		for _, filter := range filters {
			between := ""
			if _, way, _ := strings.Cut(filter, "="); strings.HasPrefix(filter, "lut3d") {
				_, between, _ = strings.Cut(way, "=")
			}
			most, colour := farthest(loaded(t, path, between), of, throughFFmpeg(t, filter+":file="+path, of))
			if !(most <= displayApart) {
				t.Errorf("%s, %s: %.2g apart at %.4f", name, filter, most, colour)
			}
			t.Logf("%s, %s: %.2g", name, filter, most)
		}
	}
}

// throughFFmpeg runs a filter over a row of colours as planes of floats, in the order G, B, R. It takes
// FFmpeg's plain code: the vectorised lut3d of 7.1 lies up to 0.06 off it at the ends of a table.
func throughFFmpeg(t *testing.T, filter string, of [][3]float64) [][3]float64 {
	t.Helper()
	order := [3]int{1, 2, 0}
	var in bytes.Buffer
	for _, c := range order {
		for _, rgb := range of {
			_ = binary.Write(&in, binary.LittleEndian, float32(rgb[c]))
		}
	}
	cmd := exec.Command("ffmpeg", "-v", "error", "-cpuflags", "0", "-f", "rawvideo", "-pix_fmt", "gbrpf32le",
		"-s", fmt.Sprintf("%dx1", len(of)), "-i", "-", "-vf", filter, "-f", "rawvideo", "-pix_fmt", "gbrpf32le", "-")
	cmd.Stdin = &in
	out, err := cmd.Output()
	if err != nil || len(out) != 12*len(of) {
		t.Fatalf("ffmpeg gave %d bytes: %v", len(out), err)
	}
	made := make([][3]float64, len(of))
	for plane, c := range order {
		for i := range of {
			bits := binary.LittleEndian.Uint32(out[4*(plane*len(of)+i):])
			made[i][c] = float64(math.Float32frombits(bits))
		}
	}
	return made
}

func clfNodeOf(name, attributes, inside string) string {
	return fmt.Sprintf(`<%[1]s inBitDepth="32f" outBitDepth="32f" %[2]s>%[3]s</%[1]s>`, name, attributes, inside)
}

// transformNodes are nodes of every kind and style that a transform may have.
func transformNodes() map[string]string {
	random := rand.New(rand.NewPCG(9, 3))
	nodes := map[string]string{
		"Matrix": clfNodeOf("Matrix", "", `<Array dim="3 4">0.9 0.2 -0.1 0.01 0.05 1 -0.05 0 -0.2 0.3 0.9 -0.02</Array>`),
		"Matrix of codes": `<Matrix inBitDepth="10i" outBitDepth="12i">` +
			`<Array dim="3 4">4 0 0 100 0 4.5 0 0 0.5 0 4 -20</Array></Matrix>`,
		"Range": clfNodeOf("Range", "", `<minInValue>0.1</minInValue><maxInValue>0.9</maxInValue>`+
			`<minOutValue>0.0625</minOutValue><maxOutValue>0.918</maxOutValue>`),
		"Range noClamp": clfNodeOf("Range", `style="noClamp"`, `<minInValue>0.1</minInValue><maxInValue>0.9</maxInValue>`+
			`<minOutValue>0</minOutValue><maxOutValue>1</maxOutValue>`),
		"Range below": clfNodeOf("Range", "", `<minInValue>0.1</minInValue><minOutValue>0.1</minOutValue>`),
		"Range above": `<Range inBitDepth="10i" outBitDepth="32f"><maxInValue>940</maxInValue>` +
			`<maxOutValue>0.91886608015</maxOutValue></Range>`,
		"LUT1D":          clfNodeOf("LUT1D", "", `<Array dim="33 3">`+entriesOf(random, 33, ramp(33))+`</Array>`),
		"LUT1D 1":        clfNodeOf("LUT1D", `interpolation="linear"`, `<Array dim="5 1">0 0.1 0.4 0.7 1.2</Array>`),
		"LUT1D of codes": `<LUT1D inBitDepth="32f" outBitDepth="10i"><Array dim="4 1">0 100 500 1023</Array></LUT1D>`,
		"LUT1D half":     clfNodeOf("LUT1D", `halfDomain="true"`, halfArray(false)),
		"LUT1D raw":      clfNodeOf("LUT1D", `halfDomain="true" rawHalfs="true"`, halfArray(true)),
		"LUT3D": clfNodeOf("LUT3D", "", `<Array dim="9 9 9 3">`+
			entriesOf(random, 729, grid(9))+`</Array>`),
		"LUT3D tetrahedral": clfNodeOf("LUT3D", `interpolation="tetrahedral"`, `<Array dim="5 5 5 3">`+
			entriesOf(random, 125, grid(5))+`</Array>`),
		"Log channels": clfNodeOf("Log", `style="linToLog"`,
			`<LogParams channel="R" base="10" logSideSlope="0.3"/><LogParams channel="G" base="10" linSideOffset="0.3"/>`+
				`<LogParams channel="B" base="10" logSideOffset="0.4"/>`),
		"one after the other": clfNodeOf("Log", `style="cameraLogToLin"`, `<LogParams base="10" `+
			`logSideSlope="0.255620723362659" logSideOffset="0.410557184750733" linSideSlope="5.26315789473684" `+
			`linSideOffset="0.0526315789473684" linSideBreak="0.01125" linearSlope="6.62194371177582"/>`) +
			clfNodeOf("Matrix", "", `<Array dim="3 3">1.2 -0.1 -0.1 -0.05 1.1 -0.05 0 -0.2 1.2</Array>`) +
			clfNodeOf("Exponent", `style="basicRev"`, `<ExponentParams exponent="2.4"/>`),
	}
	for style := range logStyles {
		params := ""
		if logStyles[style].base == 0 {
			params = `<LogParams base="10" logSideSlope="0.25" logSideOffset="0.4" linSideSlope="5.5" linSideOffset="0.05"/>`
		}
		if logStyles[style].camera {
			params = strings.Replace(params, "/>", ` linSideBreak="0.01"/>`, 1)
		}
		nodes["Log "+style] = clfNodeOf("Log", `style="`+style+`"`, params)
	}
	for style := range exponentStyles {
		one, three := `<ExponentParams exponent="2.2"/>`, `<ExponentParams channel="R" exponent="2.4"/>`+
			`<ExponentParams channel="G" exponent="1"/><ExponentParams channel="B" exponent="0.6"/>`
		if strings.HasPrefix(style, "monCurve") {
			one, three = `<ExponentParams exponent="2.4" offset="0.055"/>`,
				`<ExponentParams channel="R" exponent="2.4" offset="0.055"/>`+
					`<ExponentParams channel="G" exponent="2.2222" offset="0.099"/>`+
					`<ExponentParams channel="B" exponent="3" offset="0.16"/>`
		}
		nodes["Exponent "+style] = clfNodeOf("Exponent", `style="`+style+`"`, one)
		nodes["Exponent channels "+style] = clfNodeOf("Exponent", `style="`+style+`"`, three)
	}
	for _, style := range []string{"Fwd", "Rev", "FwdNoClamp", "RevNoClamp"} {
		nodes["ASC_CDL "+style] = clfNodeOf("ASC_CDL", `style="`+style+`"`,
			"<SOPNode><Slope>1.2 1.0 0.9</Slope>\n<Offset>-0.05 0.02 0.1</Offset>\n<Power>1.1 1 0.8</Power></SOPNode>"+
				"<SatNode><Saturation> 0.7 </Saturation></SatNode>")
	}
	return nodes
}

// halfArray is a table over all half-floats: 0.8 x + 0.1 within -8..8.
func halfArray(raw bool) string {
	var b strings.Builder
	b.WriteString(`<Array dim="65536 1">`)
	for bits := range halfs {
		v := halfValue(uint16(bits))
		if math.IsNaN(v) {
			v = 0
		}
		v = 0.8*min(max(v, -8), 8) + 0.1
		if raw {
			near, _ := halfBelow(v)
			fmt.Fprintf(&b, "%d\n", near)
		} else {
			fmt.Fprintf(&b, "%.8g\n", v)
		}
	}
	return b.String() + `</Array>`
}

func TestCLFAsOpenColorIO(t *testing.T) {
	var names []string
	var files []ocio.File
	for name, nodes := range transformNodes() {
		names = append(names, name)
		files = append(files, ocio.File{Path: transformFile(t, strings.ReplaceAll(name, " ", "-")+".clf", clfOf(nodes))})
	}
	asOpenColorIO(t, names, files)
}
