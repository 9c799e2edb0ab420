package metadata

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// FFmpeg is the other writer and the other reader: what it writes is read here, and what the
// builders of these tests write is read by it.

func ffmpeg(t *testing.T, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("ffmpeg is not here")
	}
	path := filepath.Join(t.TempDir(), name)
	source := []string{"-v", "error", "-y", "-f", "lavfi", "-i", "testsrc2=s=160x96:r=25:d=0.4"}
	out, err := exec.Command("ffmpeg", append(append(source, args...), path)...).CombinedOutput()
	if err != nil {
		t.Fatalf("ffmpeg %v: %v\n%s", args, err, out)
	}
	return path
}

type probed struct {
	Packets []struct{ Pos, Size string }
	Streams []struct {
		Codec_tag_string string
		Tags             map[string]string
	}
	Format struct{ Tags map[string]string }
}

func ffprobe(t *testing.T, path string, args ...string) (p probed) {
	t.Helper()
	if _, err := exec.LookPath("ffprobe"); err != nil {
		t.Skip("ffprobe is not here")
	}
	out, err := exec.Command("ffprobe", append(append([]string{"-v", "error", "-of", "json"}, args...), path)...).Output()
	if err == nil {
		err = json.Unmarshal(out, &p)
	}
	if err != nil {
		t.Fatalf("ffprobe %s: %v", path, err)
	}
	return p
}

func read(t *testing.T, path string, hints Hints) Record {
	t.Helper()
	r, err := Read(path, hints)
	if err != nil || len(r.Problems) > 0 {
		t.Fatalf("%s: %v, %q", path, err, r.Problems)
	}
	return r
}

func TestKeysWrittenByFFmpeg(t *testing.T) {
	for _, name := range []string{"a.mov", "a.mp4"} {
		path := ffmpeg(t, name, "-c:v", "mpeg4", "-movflags", "use_metadata_tags",
			"-metadata", "com.apple.proapps.customgamma=com.apple.rec2020.apple-log",
			"-metadata", "com.apple.quicktime.model=Phone 9",
			"-metadata", "com.arri.camera.WhiteBalanceKelvin=5600")
		r := read(t, path, Hints{})
		if r.Curve == nil || r.Curve.Curve != "Apple Log" || r.Curve.Where != "udta key com.apple.proapps.customgamma" {
			t.Fatalf("%s: %+v", name, r.Curve)
		}
		near(t, name, r.Camera.WhiteBalanceK, 5600, 0)
		if r.Camera.Model != "Phone 9" {
			t.Errorf("%s: %+v", name, r.Camera)
		}
		tags := ffprobe(t, path, "-show_format").Format.Tags
		if again := read(t, path, Hints{Tags: tags}); len(again.Claims) != 1 {
			t.Errorf("%s with FFmpeg's tags: %+v", name, again.Claims)
		}
	}
}

// Tags in a container that is not looked into come through FFmpeg.
func TestKeysInMatroska(t *testing.T) {
	path := ffmpeg(t, "a.mkv", "-c:v", "mpeg4", "-metadata", "com.atomos.hdr.gamma=VLog")
	r := read(t, path, Hints{Container: "matroska,webm", Tags: ffprobe(t, path, "-show_format").Format.Tags})
	if r.Curve == nil || r.Curve.Curve != "V-Log" {
		t.Errorf("%+v", r.Curve)
	}
}

// The place and size of every sample of a track, in both arrangements of the file.
func TestSamplePlacesAreFFmpegs(t *testing.T) {
	for _, flags := range []string{"+faststart", "+write_colr"} {
		path := ffmpeg(t, "a.mp4", "-f", "lavfi", "-i", "sine=d=0.4", "-c:v", "mpeg4", "-c:a", "aac", "-movflags", flags)
		want := ffprobe(t, path, "-select_streams", "v", "-show_packets").Packets
		file, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s := sourceOf(file)
		moov, _ := first(s.boxes(0, s.size), "moov")
		stbl, ok := s.descend(moov, "trak", "mdia", "minf", "stbl")
		if !ok {
			t.Fatal("no sample table")
		}
		table, err := s.sampleTable(stbl)
		if err != nil || table.count != len(want) || table.count == 0 {
			t.Fatalf("%d samples, FFmpeg has %d; %v", table.count, len(want), err)
		}
		for i, w := range want {
			at, _ := strconv.Atoi(w.Pos)
			n, _ := strconv.Atoi(w.Size)
			if got, err := s.sample(table, i); err != nil || !bytes.Equal(got, file[at:at+n]) {
				t.Errorf("%s, sample %d: %v", flags, i, err)
			}
		}
	}
}

func TestColourBoxWrittenByFFmpeg(t *testing.T) {
	for name, want := range map[string]Colour{"a.mp4": {9, 18, 9, "full"}, "a.mov": {9, 18, 9, ""}} {
		path := ffmpeg(t, name, "-c:v", "mpeg4", "-movflags", "write_colr", "-color_primaries", "bt2020",
			"-color_trc", "arib-std-b67", "-colorspace", "bt2020nc", "-color_range", "pc")
		r := read(t, path, Hints{})
		if r.Colour == nil || *r.Colour != want || r.Curve == nil || r.Curve.Curve != "HLG" {
			t.Errorf("%s: %+v, %+v", name, r.Colour, r.Curve)
		}
	}
}

// FFmpeg reads the built rtmd track as the samples it was made of, and the timecode in its header
// (libavformat/mov.c).
func TestFFmpegReadsTheBuiltTrack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "built.mov")
	samples := [][]byte{workedSample(t), frameSample(cameraSets(slog3Cine, 800, 0x8000)), workedSample(t),
		workedSample(t), workedSample(t)}
	write(t, path, rtmdClip(samples))
	p := ffprobe(t, path, "-show_packets", "-show_streams")
	if len(p.Streams) != 1 || p.Streams[0].Codec_tag_string != "rtmd" || p.Streams[0].Tags["timecode"] != "10:02:30:12" {
		t.Fatalf("%+v", p.Streams)
	}
	file, _ := os.ReadFile(path)
	for i, packet := range p.Packets {
		at, _ := strconv.Atoi(packet.Pos)
		if i >= len(samples) || !bytes.HasPrefix(file[at:], samples[i]) || packet.Size != strconv.Itoa(len(samples[i])) {
			t.Errorf("packet %d: %+v", i, packet)
		}
	}
	if len(p.Packets) != len(samples) {
		t.Errorf("%d packets", len(p.Packets))
	}
	if tc := read(t, path, Hints{}).Camera.Timecode; tc != "10:02:30:12" {
		t.Errorf("timecode %s", tc)
	}
}

// FFmpeg reads the built keys of the kinds it knows as they are read here.
func TestFFmpegReadsTheBuiltKeys(t *testing.T) {
	path := filepath.Join(t.TempDir(), "built.mov")
	values := []typedValue{textKey("com.arri.camera.CameraModel", "ALEXA"),
		{"com.arri.camera.ExposureIndexAsa", 21, u32(800)},
		{"com.arri.camera.SensorFps", 22, u16(24000)}}
	sample := frameSample(klv(lensKey, item(0x8000, u16(0x8000))))
	write(t, path, rtmdClip([][]byte{sample}, mdtaMeta(values...)))
	tags := ffprobe(t, path, "-show_format").Format.Tags
	for name, want := range map[string]string{values[0].name: "ALEXA", values[1].name: "800", values[2].name: "24000"} {
		if tags[name] != want {
			t.Errorf("FFmpeg reads %s as %q", name, tags[name])
		}
	}
	c := read(t, path, Hints{}).Camera
	near(t, "EI", c.ExposureIndex, 800, 0)
	near(t, "rate", c.CaptureFPS, 24, 0)
}

func mxfFromFFmpeg(t *testing.T, transfer string) string {
	return ffmpeg(t, "a.mxf", "-c:v", "mpeg2video", "-pix_fmt", "yuv422p", "-color_range", "tv",
		"-color_trc", transfer, "-color_primaries", "bt2020", "-colorspace", "bt2020nc")
}

// Labels and levels that FFmpeg writes into the picture descriptor (libavformat/mxfenc.c).
func TestDescriptorWrittenByFFmpeg(t *testing.T) {
	for transfer, curve := range map[string]string{"arib-std-b67": "HLG", "smpte2084": "PQ", "bt709": ""} {
		r := read(t, mxfFromFFmpeg(t, transfer), Hints{Container: "mxf"})
		if (r.Curve == nil) != (curve == "") || r.Curve != nil && (r.Curve.Curve != curve ||
			r.Curve.Origin != OriginTransfer) {
			t.Errorf("%s: %+v", transfer, r.Curve)
		}
		if r.Camera == nil || r.Camera.Gamut != "BT.2020" || len(r.Unknown) > 0 {
			t.Errorf("%s: %+v, %q", transfer, r.Camera, r.Unknown)
		}
		if l := r.Levels; l == nil || *l != (Levels{8, 16, 235, 225, "narrow"}) {
			t.Errorf("%s: %+v", transfer, l)
		}
	}
}

// FFmpeg's file with the label of a camera log, which FFmpeg 5.1 cannot write, in place of HLG.
func TestCameraLogInFFmpegsDescriptor(t *testing.T) {
	path := mxfFromFFmpeg(t, "arib-std-b67")
	file, _ := os.ReadFile(path)
	hlg, slog3 := unhex(publicHLG), unhex(cameraLogS3)
	if n := bytes.Count(file, hlg[8:]); n == 0 {
		t.Fatal("the label is not in the file")
	}
	write(t, path, bytes.ReplaceAll(file, hlg[8:], slog3[8:]))
	r := read(t, path, Hints{})
	if r.Curve == nil || r.Curve.Curve != "S-Log3" || r.Curve.Origin != OriginDescriptor {
		t.Errorf("%+v", r.Curve)
	}
}

// Sets put into the content packages of FFmpeg's file, in every way of carriage.
func TestSetsInFFmpegsPackages(t *testing.T) {
	path := mxfFromFFmpeg(t, "bt709")
	file, _ := os.ReadFile(path)
	system := unhex("060E2B34 02050101 0D010301 04010100")
	if n := bytes.Count(file, system); n != 10 {
		t.Fatalf("%d system items for 10 frames", n)
	}
	for where, carry := range carriers {
		if where == "MXF system item" {
			continue // would have to be inside FFmpeg's own item
		}
		parts := strings.Split(string(file), string(system))
		spliced := []byte(parts[0])
		for i, part := range parts[1:] {
			spliced = append(spliced, carry(cameraSets(slog3Cine, 800+100*i, 0x8000))...)
			spliced = append(spliced, string(system)+part...)
		}
		write(t, path, spliced)
		r := read(t, path, Hints{})
		if r.Curve == nil || r.Curve.Curve != "S-Log3" || r.Curve.Where != where+", item 3210" ||
			len(r.Camera.Changes) != 1 || r.Camera.Changes[0] != "ISO 800 at first, ISO 1700 at last" {
			t.Errorf("%s: %+v, %+v", where, r.Curve, r.Camera)
		}
	}
}
