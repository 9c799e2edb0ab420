package synth

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/geometry"
)

// Codes that the interface reserves are not written: at 10 bits 4..1019, scaled by the depth (SMPTE
// ST 274, timing reference codes, from memory; Recommendation ITU-R BT.2100-2, table 9). Full range
// has them all.
func TestCodesThatAreWritten(t *testing.T) {
	cam := bench(t, 64, 36)
	for _, c := range []struct {
		bits      int
		rng       curve.Range
		low, high curve.FileCode
	}{
		{8, curve.Narrow, 1, 254}, {10, curve.Narrow, 4, 1019}, {12, curve.Narrow, 16, 4079}, {16, curve.Narrow, 256, 65279},
		{8, curve.Full, 0, 255}, {10, curve.Full, 0, 1023}, {16, curve.Full, 0, 65535},
	} {
		cam.Bits, cam.Range = c.bits, c.rng
		if low, high := cam.codeLimits(); low != c.low || high != c.high {
			t.Errorf("%d bits, range %v: %g..%g, want %g..%g", c.bits, c.rng, float64(low), float64(high),
				float64(c.low), float64(c.high))
		}
		cam.Sampling, cam.Noise, cam.Ceiling = RGB, Noise{}, 0
		p := Render(cam, flat(Light{1e4, 0, -1}, 1), 0)
		if got := curve.FileCode(p.Samples[0][5]); got != c.high {
			t.Errorf("%d bits, range %v: the brightest light is code %g", c.bits, c.rng, float64(got))
		}
		for _, plane := range p.Samples {
			if low := curve.FileCode(slices.Min(plane)); low < c.low {
				t.Errorf("%d bits, range %v: code %g is written", c.bits, c.rng, float64(low))
			}
		}
	}
}

// A camera that cannot record is an error that says what to set.
func TestCamerasThatCannotRecord(t *testing.T) {
	for _, c := range []struct {
		change func(*Camera)
		says   string
	}{
		{func(c *Camera) { c.Width = 1 }, "at least 2 x 2"},
		{func(c *Camera) { c.Curve = nil }, "set Camera.Curve"},
		{func(c *Camera) { c.Matrix = curve.Matrix{} }, "set Camera.Matrix"},
		{func(c *Camera) { c.Bits = 7 }, "use 8 to 16"},
		{func(c *Camera) { c.Bits = 17 }, "use 8 to 16"},
		{func(c *Camera) { c.Width = 63 }, "use an even size"},
		{func(c *Camera) { c.Height, c.Sampling = 35, S420 }, "use an even size"},
		{func(c *Camera) { c.Noise.Read = -1 }, "noise cannot be negative"},
		{func(c *Camera) { c.Noise.Shot = -1 }, "noise cannot be negative"},
	} {
		cam := bench(t, 64, 36)
		c.change(&cam)
		if _, err := NewRenderer(cam, flat(Grey(0.18), 1)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("error %v, want one with %q", err, c.says)
		}
		if _, _, err := Expose(cam, flat(Grey(0.18), 1)); err == nil {
			t.Errorf("exposed in spite of %q", c.says)
		}
	}
	odd := bench(t, 63, 35)
	for _, s := range []Sampling{S444, RGB} {
		if odd.Sampling = s; odd.check() != nil {
			t.Errorf("an odd size cannot be recorded without subsampling: %v", odd.check())
		}
	}
}

// The camera to start from: grey at its nominal code, a ceiling six stops over it, and a floor 7.5
// stops under it.
func TestNewCamera(t *testing.T) {
	cam := bench(t, 64, 36)
	if got := cam.Ceiling.Stops(); math.Abs(float64(got)-6) > 1e-12 {
		t.Errorf("ceiling at %+.3f stops", float64(got))
	}
	r, err := NewRenderer(cam, flat(Grey(0.18), 1))
	if err != nil {
		t.Fatal(err)
	}
	if floor := float64(r.Truth().FloorStops); math.Abs(floor+7.5) > 0.05 {
		t.Errorf("floor at %+.3f stops", floor)
	}
	if cam.Reading() != (curve.Reading{Curve: cam.Curve, Range: curve.Narrow, Bits: 10}) {
		t.Errorf("read as %+v", cam.Reading())
	}
}

// Planes of each sampling are as large as its name says: 4:2:2 has half the chroma across, 4:2:0
// half both ways.
func TestSizesOfPlanes(t *testing.T) {
	for _, c := range []struct {
		sampling Sampling
		layout   decode.Layout
		w, h     int // of chroma
	}{{S422, decode.YCbCr, 48, 54}, {S420, decode.YCbCr, 48, 27}, {S444, decode.YCbCr, 96, 54}, {RGB, decode.RGB, 96,
		54}} {
		cam := bench(t, 96, 54)
		cam.Sampling = c.sampling
		r, err := NewRenderer(cam, Shot{Scene: Bulkhead(96, 54), RateNum: 50})
		if err != nil {
			t.Fatal(err)
		}
		p := r.Frame(25)
		f := p.Frame()
		if p.Layout != c.layout || f.Layout != c.layout || f.Bits != 10 || f.Index != 25 || f.Time != 0.5 {
			t.Errorf("sampling %d: %+v", c.sampling, f)
		}
		for i := range 3 {
			w, h := c.w, c.h
			if i == 0 {
				w, h = 96, 54
			}
			if plane := f.Planes[i]; plane.Width != w || plane.Height != h || len(plane.Samples) != w*h {
				t.Errorf("sampling %d, plane %d: %d x %d, want %d x %d", c.sampling, i, plane.Width, plane.Height, w, h)
			}
			if !slices.Equal(f.Planes[i].Row(3), p.Row(i, 3)) {
				t.Errorf("sampling %d, plane %d: rows differ", c.sampling, i)
			}
		}
		if r.Truth().ChromaSubsampled != (c.sampling == S422 || c.sampling == S420) {
			t.Errorf("sampling %d: told subsampled %v", c.sampling, r.Truth().ChromaSubsampled)
		}
	}
}

// Developing codes of one's own gives what the renderer records of the same light.
func TestDevelopIsWhatIsRecorded(t *testing.T) {
	const w, h = 96, 54
	for _, s := range []Sampling{S422, S420, S444, RGB} {
		cam := bench(t, w, h)
		cam.Noise, cam.Sampling = Noise{}, s
		scene := ChartTable(w, h)
		codes := painted(w, h, 0, scene.Parts...)
		top := float32(cam.Ceiling)
		table := NewToneTable(codesOf(cam.Reading()))
		for c := range codes {
			for i, v := range codes[c] {
				codes[c][i] = min(v, top)
			}
			table.Encode(codes[c])
		}
		want, got := Render(cam, Shot{Scene: scene}, 0), Develop(cam, codes)
		for i := range want.Samples {
			if !slices.Equal(got.Samples[i], want.Samples[i]) {
				t.Errorf("sampling %d: plane %d differs", s, i)
			}
		}
	}
}

// Frames of one's own are encoded as a shot's are.
func TestEncodeIsWhatRecordWrites(t *testing.T) {
	cam := bench(t, 64, 36)
	shot := Shot{Scene: ToneWedge(64, 36), Seed: 3, Frames: 4, RateNum: 30}
	frames, _, err := Expose(cam, shot)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	ours, theirs := filepath.Join(dir, "a.mkv"), filepath.Join(dir, "b.mkv")
	enc := Encoding{Codec: FFV1}
	if err := Encode(ours, cam, shot, enc, func(i int) Planes { return frames[i] }); err != nil {
		t.Fatal(err)
	}
	if _, err := Record(theirs, cam, shot, enc); err != nil {
		t.Fatal(err)
	}
	read := func(path string) []byte {
		return ffmpeg(t, nil, "-i", path, "-f", "rawvideo", "-pix_fmt", "yuv422p10le", "-")
	}
	if a, b := read(ours), read(theirs); !bytes.Equal(a, b) || len(a) != 4*2*2*64*36 {
		t.Errorf("%d and %d bytes that differ", len(a), len(b))
	}
	wrong := newPlanes(Camera{Width: 64, Height: 36, Bits: 10, Sampling: S444})
	if err := Encode(filepath.Join(dir, "no/folder/a.mkv"), cam, shot, enc,
		func(int) Planes { return wrong }); err == nil {
		t.Error("written into a folder that is not there")
	}
	if left, _ := os.ReadDir(dir); len(left) != 2 {
		t.Errorf("left behind: %v", left)
	}
	cam.Curve = nil
	if err := Encode(ours, cam, shot, enc, func(i int) Planes { return frames[i] }); err == nil {
		t.Error("encoded for a camera without a curve")
	}
}

// A region's rectangle lies in the frame and 2 pixels inside the mark, in perspective too.
func TestRectanglesLieInsideTheirMarks(t *testing.T) {
	const w, h = 320, 180
	for name, scene := range film {
		r, err := NewRenderer(exact(t, w, h), Shot{Scene: scene(w, h), Frames: 1})
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range r.Truth().Regions {
			in := g.Rect(0)
			if in.X < 0 || in.Y < 0 || in.X+in.W > w || in.Y+in.H > h || in.W <= 0 || in.H <= 0 {
				t.Errorf("%s, %s: %v is not in the frame", name, g.Name, in)
			}
			edges := g.Corners(0).Edges()
			middle := geometry.Pt(float64(in.X)+float64(in.W)/2, float64(in.Y)+float64(in.H)/2)
			if !edges.Hold(middle, float64(in.W)/2, float64(in.H)/2, insideMargin-1e-6) {
				t.Errorf("%s, %s: %v is not inside %v", name, g.Name, in, g.Corners(0))
			}
		}
	}
}
