package adjust

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"stopledger/curve"
	"stopledger/curve/ocio"
)

// changes are exposure changes of every recorded curve in narrow and full range files, in both domains.
// Every day each curve has one of them; STOPLEDGER_FULL asks for all.
func changes(t *testing.T) (list []Change) {
	t.Helper()
	late, err := curve.Find("LogC3 EI3200")
	if err != nil {
		t.Fatal(err)
	}
	curves := []*curve.Curve{late}
	for _, c := range curve.All() {
		if c.Recorded {
			curves = append(curves, c)
		}
	}
	for i, c := range curves {
		n := 0
		for _, r := range []curve.Range{curve.Narrow, curve.Full} {
			for _, d := range []curve.Domain{curve.CurveDomain, curve.VideoDomain} {
				for _, stops := range []curve.Stops{-1.65, -0.7, 1, 2.3} {
					if n++; os.Getenv("STOPLEDGER_FULL") != "" || n%16 == (5*i)%16 {
						list = append(list, Change{curve.Reading{Curve: c, Range: r, Bits: 10 + 2*(n%2)}, d, stops})
					}
				}
			}
		}
	}
	return list
}

func (c Change) String() string {
	return fmt.Sprintf("%s range %d, %d bits, %s, %+.2f", c.Reading.Curve.Name, c.Reading.Range, c.Reading.Bits, c.Domain,
		float64(c.Stops))
}

// formula is the change worked out from the curve's own formula, code by code.
func formula(c Change, v float64) float64 {
	r, n := c.Reading, v
	shifted := c.Domain == curve.VideoDomain && r.Range == curve.Narrow && r.Curve.Convention == curve.DataCodes
	if shifted {
		n = (64 + 876*v) / 1023
	}
	n = r.Curve.Encode(curve.Light(math.Exp2(float64(c.Stops)) * float64(r.Curve.Decode(n))))
	if shifted {
		return (1023*n - 64) / 876
	}
	return n
}

// pixels are a grey ramp and random colours between two values.
func pixels(seed uint64, low, high float64) (list [][3]float64) {
	const grey, colours = 512, 512
	random := rand.New(rand.NewPCG(seed, 1))
	at := func(share float64) float64 { return low + (high-low)*share }
	for i := range grey {
		v := at(float64(i) / (grey - 1))
		list = append(list, [3]float64{v, v, v})
	}
	for range colours {
		list = append(list, [3]float64{at(random.Float64()), at(random.Float64()), at(random.Float64())})
	}
	return list
}

// label says what the tests' files say of themselves: with what formats must escape.
func label(id string) Label {
	return Label{ID: id, Name: `A001 <"quay" & pier>.mov`, Values: "0..1 is code 64..940",
		About: []string{"Exposure, & more <than> that.", "Grey \"here\"."}}
}

// file writes a correction into the working folder.
func file(t *testing.T, name string, k Correction) string {
	t.Helper()
	var b bytes.Buffer
	if err := k.Write(&b, label(name)); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	path, err := filepath.Abs(name)
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// furthest is the largest difference of pixels from what is wanted of the values that count.
func furthest(in, got [][3]float64, want func(v float64) float64, counts func(v float64) bool) (off, at float64) {
	for i := range in {
		for ch := range 3 {
			v := in[i][ch]
			if !counts(v) {
				continue
			}
			if d := math.Abs(got[i][ch] - want(v)); !(d <= off) {
				off, at = d, v
			}
		}
	}
	return off, at
}

func all(float64) bool         { return true }
func between01(v float64) bool { return v >= 0 && v <= 1 }

// follows tells whether a table can follow a change at a value that the file's codes have. Where the foot of
// a curve is vertical (the cube root of N-Log, the square of Apple Log, both well below zero light) the
// change is so too, and none can.
func follows(c Change) func(v float64) bool {
	return func(v float64) bool {
		const step, steep = 1.0 / 65472, 50
		code := c.toCodes().at(v)
		return code >= 0 && code <= 1 && math.Abs(formula(c, v+step)-formula(c, v-step)) < 2*step*steep
	}
}

// OpenColorIO makes of every value what the curve's formula says, with the CLF over all codes of the
// file and with the cube within 0..1; and Apply says what it makes of them, clamps too.
func TestWrittenAsOpenColorIO(t *testing.T) {
	if testing.Short() {
		t.Skip("has many files read by another program")
	}
	t.Chdir(t.TempDir())
	list, in := changes(t), pixels(50001, -64.0/876, 959.0/876)
	var files []ocio.File
	var made []Correction
	for i, c := range list {
		for j, k := range []Correction{c.CLF(), c.Cube(), c.CDL(-c.Stops)} {
			made = append(made, k)
			files = append(files, ocio.File{
				Path: file(t, fmt.Sprintf("%d.%s", i, []string{"clf", "cube", "cc"}[j]), k)})
		}
	}
	got := ocio.Colours(t, files, in)
	var worst [2]float64
	for i, c := range list {
		for j := range 3 {
			if off, at := furthest(in, got[3*i+j], made[3*i+j].Apply, all); off > liveSignal {
				t.Errorf("%v, %s: %g is off by %g from what Apply says, %.1f times the tolerance", c, files[3*i+j].Path, at, off,
					off/liveSignal)
			}
		}
		want := func(v float64) float64 { return formula(c, v) }
		off, at := furthest(in, got[3*i], want, follows(c))
		if worst[0] = max(worst[0], off); off > liveSignal {
			t.Errorf("%v: CLF is off by %g at %g, %.1f times the tolerance", c, off, at, off/liveSignal)
		}
		off, at = furthest(in, got[3*i+1], want, between01)
		if worst[1] = max(worst[1], off); off > halfCode {
			t.Errorf("%v: cube is off by %g at %g, %.1f times the tolerance", c, off, at, off/halfCode)
		}
	}
	t.Logf("%d changes: CLF within %.2g, cube within %.2g of the formula", len(list), worst[0], worst[1])
}

// Where a table cannot follow a change is told: the cube root of N-Log, lifted.
func TestFurthest(t *testing.T) {
	for name, most := range map[string]curve.Code{"N-Log": 20, "S-Log3": 0.06, "Canon Log 3": 0.01} {
		c, err := curve.Find(name)
		if err != nil {
			t.Fatal(err)
		}
		up := Change{curve.Reading{Curve: c, Bits: 10}, curve.VideoDomain, 2}
		for _, k := range []Correction{up.CLF(), up.Cube()} {
			off, at := up.Furthest(k)
			var found, where float64
			for code := 64.0; code <= 940; code += 0.0625 {
				v := (code - 64) / 876
				if d := 876 * math.Abs(k.Apply(v)-formula(up, v)); d > found {
					found, where = d, code
				}
			}
			// A kink's peak may lie a little beside the points looked at.
			if off > most || float64(off) < 0.8*found || found > 0.05 && math.Abs(float64(at)-where) > 1 {
				t.Errorf("%s, %T: off by %.4f at code %.2f; found %.4f at %.2f", name, k, off, at, found, where)
			}
		}
	}
}

// FFmpeg's lut1d makes of values what the curve's formula says, and clamps as Apply does.
func TestCubeAsFFmpeg(t *testing.T) {
	if testing.Short() {
		t.Skip("runs another program for each file")
	}
	t.Chdir(t.TempDir())
	in := pixels(50002, -0.1, 1.1)
	for i, c := range changes(t) {
		if os.Getenv("STOPLEDGER_FULL") == "" && i%7 != 0 {
			continue
		}
		file(t, "a.cube", c.Cube())
		got := lut1d(t, "a.cube", in)
		if off, at := furthest(in, got, c.Cube().Apply, all); off > liveSignal {
			t.Errorf("%v: %g is off by %g, %.1f times the tolerance", c, at, off, off/liveSignal)
		}
		want := func(v float64) float64 { return formula(c, min(max(v, 0), 1)) }
		if off, at := furthest(in, got, want, all); off > halfCode {
			t.Errorf("%v: off by %g from the formula at %g, %.1f times the tolerance", c, off, at, off/halfCode)
		}
	}
}

// lut1d sends pixels through FFmpeg's filter, in floats.
func lut1d(t *testing.T, name string, in [][3]float64) [][3]float64 {
	t.Helper()
	planes := make([]float32, 3*len(in))
	for i, p := range in {
		for at, ch := range []int{1, 2, 0} { // green, blue, red
			planes[at*len(in)+i] = float32(p[ch])
		}
	}
	var raw, out bytes.Buffer
	if err := binary.Write(&raw, binary.LittleEndian, planes); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("ffmpeg", "-v", "error", "-f", "rawvideo", "-pix_fmt", "gbrpf32le",
		"-s", fmt.Sprintf("%dx1", len(in)), "-i", "-", "-vf", "lut1d=file="+name+":interp=linear",
		"-f", "rawvideo", "-pix_fmt", "gbrpf32le", "-")
	cmd.Stdin, cmd.Stdout, cmd.Stderr = &raw, &out, os.Stderr
	if err := cmd.Run(); err != nil {
		t.Fatal(err)
	}
	if err := binary.Read(&out, binary.LittleEndian, planes); err != nil {
		t.Fatal(err)
	}
	got := make([][3]float64, len(in))
	for i := range got {
		for at, ch := range []int{1, 2, 0} {
			got[i][ch] = float64(planes[at*len(in)+i])
		}
	}
	return got
}
