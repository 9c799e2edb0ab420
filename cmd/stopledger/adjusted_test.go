package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
	"stopledger/curve/ocio"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
)

// adjustedWithin is how near nominal a clip must lie after its correction, asked for.
const adjustedWithin = 0.03

// A clip 1.65 stops over, through its own CLF in OpenColorIO and its own cube in FFmpeg, is audited again
// and lies at nominal. With STOPLEDGER_FULL=1 that is every curve, range, depth and domain; every day two
// codings of one curve each way.
func TestAdjustedClipsLieAtNominal(t *testing.T) {
	if testing.Short() {
		t.Skip("records, corrects and measures clips")
	}
	n := 0
	for _, name := range []string{"S-Log3", "LogC3", "LogC4", "V-Log", "Canon Log 3", "Apple Log"} {
		for _, k := range codings() {
			if k.bits == 8 || k.matrix.Name != curve.BT709.Name {
				continue
			}
			for _, domain := range []curve.Domain{curve.VideoDomain, curve.CurveDomain} {
				if n++; os.Getenv("STOPLEDGER_FULL") != "" || n%29 == 1 {
					t.Run(fmt.Sprintf("%s %v %s", name, k, domain), func(t *testing.T) { adjustedLiesAtNominal(t, name, k, domain) })
				}
			}
		}
	}
}

func adjustedLiesAtNominal(t *testing.T, name string, k coding, domain curve.Domain) {
	t.Chdir(t.TempDir())
	take{curve: name, stops: 1.65, how: synth.Encoding{Codec: synth.FFV1},
		change: func(cam *synth.Camera) {
			cam.Range, cam.Bits, cam.Matrix, cam.Sampling = k.rng, k.bits, k.matrix, synth.S422
		}}.record(t, "take.mkv")
	code, _, stderr := program(t, "adjust", "--curve", name, "--region", takeCard, "--as", "clf,cube", "--domain",
		string(domain), "--out", ".", "take.mkv")
	if code != exitMeasured || stderr != "" {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	c := curveNamed(t, name)
	host := host{k, domain == curve.CurveDomain && c.Convention == curve.DataCodes}
	host.throughFilter(t, "take.mkv", "lut1d=file=take_"+string(domain)+".cube:interp=linear", "cube.mkv")
	clf, err := filepath.Abs("take_" + string(domain) + ".clf")
	if err != nil {
		t.Fatal(err)
	}
	host.throughOCIO(t, "take.mkv", clf, "clf.mkv")
	for _, out := range []string{"cube.mkv", "clf.mkv"} {
		clip := auditedClip(t, "--curve", name, "--range", string(metadata.NameOf(k.rng)), "--region", takeCard, out)
		if off := float64(clip.Placement.Stops); !(math.Abs(off) <= adjustedWithin) {
			t.Errorf("%s: grey lies at %+.4f stops: %.1f times the tolerance", out, off, off/adjustedWithin)
		} else {
			t.Logf("%s: %+.4f stops", out, off)
		}
	}
}

// A host is a program that hands a clip's values to a file: as floats, the range undone, or with data levels
// the codes as they are.
type host struct {
	coding
	data bool
}

func (h host) rangeOf() string {
	if h.rng == curve.Full || h.data {
		return "full"
	}
	return "limited"
}

// toRGB and toCodes are filters that undo the matrix and range, exactly, and make codes of it again: zimg's,
// for swscale rounds. The codes are then said to be of narrow range, whatever they are: FFmpeg 7 converts what
// is not before it gives it to FFV1.
func (h host) toRGB() string {
	return "zscale=rangein=" + h.rangeOf() + ":range=full:matrixin=709:matrix=gbr,format=gbrpf32le"
}

func (h host) toCodes() string {
	return fmt.Sprintf("zscale=rangein=full:range=%s:matrixin=gbr:matrix=709,format=yuv422p%dle,setparams=range=limited",
		h.rangeOf(), h.bits)
}

func (h host) throughFilter(t *testing.T, in, filter, out string) {
	t.Helper()
	ffmpeg(t, nil, "-i", in, "-vf", h.toRGB()+","+filter+","+h.toCodes(), "-c:v", "ffv1", out)
}

func (h host) throughOCIO(t *testing.T, in, clf, out string) {
	t.Helper()
	raw := ffmpeg(t, nil, "-i", in, "-vf", h.toRGB(), "-f", "rawvideo", "-pix_fmt", "gbrpf32le", "-")
	planes := make([]float32, len(raw)/4)
	if err := binary.Read(bytes.NewReader(raw), binary.LittleEndian, planes); err != nil {
		t.Fatal(err)
	}
	const plane = takeWidth * takeHeight
	index := func(i, channel int) int { // of R, G, B in frames of green, blue, red
		return i/plane*3*plane + (channel+2)%3*plane + i%plane
	}
	pixels := make([][3]float64, len(planes)/3)
	for i := range pixels {
		for ch := range 3 {
			pixels[i][ch] = float64(planes[index(i, ch)])
		}
	}
	for i, p := range ocio.Colours(t, []ocio.File{{Path: clf}}, pixels)[0] {
		for ch := range 3 {
			planes[index(i, ch)] = float32(p[ch])
		}
	}
	var made bytes.Buffer
	if err := binary.Write(&made, binary.LittleEndian, planes); err != nil {
		t.Fatal(err)
	}
	ffmpeg(t, made.Bytes(), "-f", "rawvideo", "-pix_fmt", "gbrpf32le", "-s", fmt.Sprintf("%dx%d", takeWidth, takeHeight),
		"-r", "24", "-i", "-", "-vf", h.toCodes(), "-c:v", "ffv1", out)
}

// ffmpeg runs FFmpeg's own program.
func ffmpeg(t *testing.T, in []byte, args ...string) []byte {
	t.Helper()
	cmd := exec.Command("ffmpeg", append([]string{"-v", "error", "-y"}, args...)...)
	var said strings.Builder
	cmd.Stdin, cmd.Stderr = bytes.NewReader(in), &said
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("ffmpeg %q: %v: %s", args, err, said.String())
	}
	return out
}
