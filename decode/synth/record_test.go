package synth

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/curve"
)

// ffmpeg runs the system's ffmpeg, an independent reader of what was written.
func ffmpeg(t *testing.T, input []byte, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("no ffmpeg command on this system")
	}
	cmd := exec.Command(path, append([]string{"-v", "error"}, args...)...)
	cmd.Stdin = bytes.NewReader(input)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("ffmpeg %s: %v\n%s", strings.Join(args, " "), err, stderr.String())
	}
	return out
}

// raw lays planes out as ffmpeg's rawvideo of the pixel format: planar, 16-bit little endian
// over 8 bits; planar RGB in the order G, B, R.
func raw(p Planes) []byte {
	order := [3]int{0, 1, 2}
	if p.Layout == 1 {
		order = [3]int{1, 2, 0}
	}
	var out []byte
	for _, i := range order {
		for _, v := range p.Samples[i] {
			if p.Bits == 8 {
				out = append(out, byte(v))
			} else {
				out = binary.LittleEndian.AppendUint16(out, v)
			}
		}
	}
	return out
}

// Lossless codecs give every code back, to a reader that is not ours.
func TestLosslessRoundTrip(t *testing.T) {
	for _, c := range []struct {
		codec    Codec
		file     string
		sampling Sampling
		bits     int
		rng      curve.Range
	}{
		{FFV1, "a.mkv", S420, 8, curve.Narrow},
		{FFV1, "b.mkv", S422, 10, curve.Narrow},
		{FFV1, "c.mkv", S444, 12, curve.Full},
		{FFV1, "d.mkv", S420, 16, curve.Full},
		{FFV1, "e.mkv", RGB, 10, curve.Full},
		{FFV1, "f.mov", S420, 10, curve.Full},
		{V210, "g.mov", S422, 10, curve.Narrow},
		{DPX, "h_%06d.dpx", RGB, 10, curve.Full},
		{DPX, "i_%06d.dpx", RGB, 12, curve.Full},
		{DPX, "j_%06d.dpx", RGB, 16, curve.Full},
		{TIFF, "k_%04d.tif", RGB, 16, curve.Full},
		{TIFF, "l_%04d.tif", RGB, 8, curve.Full},
	} {
		t.Run(fmt.Sprintf("%s %d bits %d", c.codec, c.bits, c.sampling), func(t *testing.T) {
			cam := bench(t, 94, 54) // not a multiple of anything a codec likes
			cam.Sampling, cam.Bits, cam.Range = c.sampling, c.bits, c.rng
			shot := Shot{Scene: ToneWedge(cam.Width, cam.Height), Frames: 3, Stops: 1, Seed: 4}
			path := filepath.Join(t.TempDir(), c.file)
			truth, err := Record(path, cam, shot, Encoding{Codec: c.codec})
			if err != nil {
				t.Fatal(err)
			}
			frames, want, err := Expose(cam, shot)
			if err != nil {
				t.Fatal(err)
			}
			if truth.Clipped != want.Clipped || truth.Placement != want.Placement {
				t.Errorf("Record's truth %+v, Expose's %+v", truth.Clipped, want.Clipped)
			}
			got := ffmpeg(t, nil, "-i", path, "-f", "rawvideo", "-pix_fmt", cam.pixelFormat(false), "-")
			var all []byte
			for _, p := range frames {
				all = append(all, raw(p)...)
			}
			if !bytes.Equal(got, all) {
				t.Errorf("ffmpeg reads %d bytes that differ from the %d recorded", len(got), len(all))
			}
		})
	}
}

type probed struct {
	Streams []struct {
		Codec     string `json:"codec_name"`
		Profile   string
		PixFmt    string `json:"pix_fmt"`
		Width     int
		Range     string `json:"color_range"`
		Space     string `json:"color_space"`
		Primaries string `json:"color_primaries"`
		Transfer  string `json:"color_transfer"`
		Rate      string `json:"r_frame_rate"`
		Frames    string `json:"nb_read_frames"`
		BFrames   int    `json:"has_b_frames"`
		Tags      map[string]string
	}
	Format struct {
		Name string `json:"format_name"`
		Tags map[string]string
	}
}

func probe(t *testing.T, path string) (p probed) {
	t.Helper()
	ffprobe, err := exec.LookPath("ffprobe")
	if err != nil {
		t.Skip("no ffprobe command on this system")
	}
	out, err := exec.Command(ffprobe, "-v", "error", "-count_frames", "-show_streams", "-show_format", "-of", "json",
		path).Output()
	if err != nil {
		t.Fatalf("ffprobe %s: %v", path, err)
	}
	if err := json.Unmarshal(out, &p); err != nil {
		t.Fatal(err)
	}
	return p
}

func TestEncodings(t *testing.T) {
	if testing.Short() {
		t.Skip("renders and measures many clips")
	}
	for _, c := range []struct {
		file, codec, profile string
		sampling             Sampling
		bits                 int
		enc                  Encoding
	}{
		{"prores.mov", "prores", "HQ", S422, 10, Encoding{Codec: ProRes422}},
		{"prores4444.mov", "prores", "4444", S444, 10, Encoding{Codec: ProRes4444}},
		{"dnxhr.mov", "dnxhd", "DNXHR HQX", S422, 10, Encoding{Codec: DNxHR}},
		{"dnxhr.mxf", "dnxhd", "DNXHR HQX", S422, 10, Encoding{Codec: DNxHR}},
		{"hevc420.mp4", "hevc", "Rext", S420, 10, Encoding{Codec: HEVC}},
		{"hevc422.mov", "hevc", "Rext", S422, 10, Encoding{Codec: HEVC}},
		{"hevc420long.mov", "hevc", "Main 10", S420, 10, Encoding{Codec: HEVC, LongGOP: true}},
		{"hevc422long.mp4", "hevc", "Rext", S422, 10, Encoding{Codec: HEVC, LongGOP: true, Quality: 18}},
		{"avc422.mp4", "h264", "High 4:2:2 Intra", S422, 10, Encoding{Codec: H264}},
		{"avc422long.mov", "h264", "High 4:2:2", S422, 10, Encoding{Codec: H264, LongGOP: true}},
		{"avc8.mp4", "h264", "High", S420, 8, Encoding{Codec: H264, LongGOP: true}},
		{"vp9.mkv", "vp9", "Profile 2", S420, 10, Encoding{Codec: VP9, LongGOP: true}},
		{"av1.mp4", "av1", "Main", S420, 10, Encoding{Codec: AV1, LongGOP: true}},
		{"v210.mov", "v210", "", S422, 10, Encoding{Codec: V210}},
	} {
		t.Run(c.file, func(t *testing.T) {
			cam := bench(t, 256, 144)
			cam.Sampling, cam.Bits = c.sampling, c.bits
			c.enc.Primaries, c.enc.Transfer = "bt709", "bt709"
			shot := Shot{Scene: Wheelhouse(cam.Width, cam.Height), Frames: 5, RateNum: 24000, RateDen: 1001}
			path := filepath.Join(t.TempDir(), c.file)
			if _, err := Record(path, cam, shot, c.enc); err != nil {
				t.Fatal(err)
			}
			s := probe(t, path).Streams[0]
			if s.Codec != c.codec || c.profile != "" && s.Profile != c.profile {
				t.Errorf("ffprobe sees %s %s, want %s %s", s.Codec, s.Profile, c.codec, c.profile)
			}
			want := cam.pixelFormat(false)
			if c.enc.Codec == ProRes4444 {
				want = "yuv444p12le" // FFmpeg's decoder always gives 12 bits
			}
			if s.PixFmt != want {
				t.Errorf("pixel format %s, want %s", s.PixFmt, want)
			}
			if s.Frames != "5" || s.Rate != "24000/1001" {
				t.Errorf("%s frames at %s, want 5 at 24000/1001", s.Frames, s.Rate)
			}
			// Neither v210 nor the mov around it has a place for the range.
			tagged := c.enc.Codec != V210 && !(strings.HasPrefix(c.file, "prores") && s.Range == "") // FFmpeg 7.1's ffprobe
			if tagged && s.Range != "tv" || s.Space != "bt709" {
				t.Errorf("tagged %s %s, want tv bt709", s.Range, s.Space)
			}
			left, err := os.ReadDir(filepath.Dir(path))
			if err != nil || len(left) != 1 {
				t.Errorf("files left: %v %v", left, err)
			}
		})
	}
}

func TestTags(t *testing.T) {
	cam := bench(t, 128, 72)
	cam.Matrix, cam.Range, cam.Sampling = curve.BT2020, curve.Full, S420
	shot := Shot{Scene: Bulkhead(cam.Width, cam.Height), Frames: 2}
	enc := Encoding{
		Codec: HEVC, Primaries: "bt2020", Transfer: "arib-std-b67", Timecode: "09:58:30:12",
		Metadata: map[string]string{"org.example.exposure-index": "1600", "org.example.lens": "35 mm"},
	}
	for _, file := range []string{"a.mov", "a.mp4", "a.mkv"} {
		path := filepath.Join(t.TempDir(), file)
		if _, err := Record(path, cam, shot, enc); err != nil {
			t.Fatal(err)
		}
		p := probe(t, path)
		s := p.Streams[0]
		if s.Range != "pc" || s.Space != "bt2020nc" || s.Primaries != "bt2020" || s.Transfer != "arib-std-b67" {
			t.Errorf("%s: tagged %s %s %s %s", file, s.Range, s.Space, s.Primaries, s.Transfer)
		}
		tags := map[string]string{}
		for _, m := range []map[string]string{p.Format.Tags, s.Tags} {
			for k, v := range m {
				tags[strings.ToLower(k)] = v
			}
		}
		if tags["timecode"] != enc.Timecode {
			t.Errorf("%s: timecode %q", file, tags["timecode"])
		}
		for k, v := range enc.Metadata {
			if tags[k] != v {
				t.Errorf("%s: %s is %q, want %q", file, k, tags[k], v)
			}
		}
	}
	bare := filepath.Join(t.TempDir(), "bare.mkv")
	if _, err := Record(bare, cam, shot, Encoding{Codec: FFV1, Untagged: true}); err != nil {
		t.Fatal(err)
	}
	if s := probe(t, bare).Streams[0]; s.Range != "" || s.Space != "" {
		t.Errorf("untagged file says range %q, matrix %q", s.Range, s.Space)
	}
}

func TestRecordErrors(t *testing.T) {
	good := bench(t, 64, 36)
	odd, blind := good, good
	odd.Width = 63
	blind.Curve = nil
	for _, c := range []struct {
		file string
		cam  Camera
		enc  Encoding
		want string
	}{
		{"a.avi", good, Encoding{Codec: FFV1}, "use .mkv or .mov"},
		{"a.mov", good, Encoding{Codec: "film"}, `no codec is called "film"`},
		{"a.mov", good, Encoding{Codec: ProRes4444}, "cannot hold"},
		{"a.mkv", odd, Encoding{Codec: FFV1}, "use an even size"},
		{"a.mkv", blind, Encoding{Codec: FFV1}, "no curve"},
		{"a.dpx", good, Encoding{Codec: DPX}, "frame number"},
		{"no/such/folder/a.mkv", good, Encoding{Codec: FFV1}, "creating the file"},
	} {
		dir := t.TempDir()
		cam := c.cam
		if c.enc.Codec == ProRes4444 {
			cam.Bits = 8
		}
		_, err := Record(filepath.Join(dir, c.file), cam, Shot{Scene: Bulkhead(64, 36), Frames: 1}, c.enc)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s %s: error %v, want one with %q", c.enc.Codec, c.file, err, c.want)
		}
		if left, _ := os.ReadDir(dir); len(left) != 0 {
			t.Errorf("%s %s: left behind %v", c.enc.Codec, c.file, left)
		}
	}
}
