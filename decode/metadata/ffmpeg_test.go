package metadata

import (
	"bytes"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/metadata/container"
)

// FFmpeg is the other writer and the other reader: what it writes is read here, and what the
// builders of these tests write is read by it.

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
		path := build.FFmpeg(t, name, "-c:v", "mpeg4", "-movflags", "use_metadata_tags",
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
		tags := build.FFprobe(t, path, "-show_format").Format.Tags
		if again := read(t, path, Hints{Tags: tags}); len(again.Claims) != 1 {
			t.Errorf("%s with FFmpeg's tags: %+v", name, again.Claims)
		}
	}
}

// Tags in a container that is not looked into come through FFmpeg.
func TestKeysInMatroska(t *testing.T) {
	path := build.FFmpeg(t, "a.mkv", "-c:v", "mpeg4", "-metadata", "com.atomos.hdr.gamma=VLog")
	r := read(t, path, Hints{Container: "matroska,webm", Tags: build.FFprobe(t, path, "-show_format").Format.Tags})
	if r.Curve == nil || r.Curve.Curve != "V-Log" {
		t.Errorf("%+v", r.Curve)
	}
}

func TestColourBoxWrittenByFFmpeg(t *testing.T) {
	for name, want := range map[string]*container.Colour{"a.mp4": colour(9, 18, 9, "full"),
		"a.mov": colour(9, 18, 9, "")} {
		path := build.FFmpeg(t, name, "-c:v", "mpeg4", "-movflags", "write_colr", "-color_primaries", "bt2020",
			"-color_trc", "arib-std-b67", "-colorspace", "bt2020nc", "-color_range", "pc",
			"-vf", "setparams=color_primaries=bt2020:color_trc=arib-std-b67:colorspace=bt2020nc:range=pc")
		r := read(t, path, Hints{})
		if r.Colour == nil || *r.Colour != *want || r.Curve == nil || r.Curve.Curve != "HLG" {
			t.Errorf("%s: %+v, %+v", name, r.Colour, r.Curve)
		}
	}
}

// FFmpeg reads the built rtmd track as the samples it was made of, and the timecode in its header
// (libavformat/mov.c).
func TestFFmpegReadsTheBuiltTrack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "built.mov")
	samples := [][]byte{build.WorkedSample(), build.FrameSample(build.CameraSets(build.SLog3Cine, 800, 0x8000)),
		build.WorkedSample(),
		build.WorkedSample(), build.WorkedSample()}
	write(t, path, build.RTMDClip(samples))
	p := build.FFprobe(t, path, "-show_packets", "-show_streams")
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
	values := []build.TypedValue{build.TextKey("com.arri.camera.CameraModel", "ALEXA"),
		build.TypedKey("com.arri.camera.ExposureIndexAsa", 21, build.U32(800)),
		build.TypedKey("com.arri.camera.SensorFps", 22, build.U16(24000))}
	sample := build.FrameSample(build.KLV(build.LensKey, build.Item(0x8000, build.U16(0x8000))))
	write(t, path, build.RTMDClip([][]byte{sample}, build.Keys(values...)))
	tags := build.FFprobe(t, path, "-show_format").Format.Tags
	for name, want := range map[string]string{values[0].Name: "ALEXA", values[1].Name: "800", values[2].Name: "24000"} {
		if tags[name] != want {
			t.Errorf("FFmpeg reads %s as %q", name, tags[name])
		}
	}
	c := read(t, path, Hints{}).Camera
	near(t, "EI", c.ExposureIndex, 800, 0)
	near(t, "rate", c.CaptureFPS, 24, 0)
}

func mxfFromFFmpeg(t *testing.T, transfer string) string {
	return build.FFmpeg(t, "a.mxf", "-c:v", "mpeg2video", "-pix_fmt", "yuv422p", "-color_range", "tv",
		"-color_trc", transfer, "-color_primaries", "bt2020", "-colorspace", "bt2020nc", // FFmpeg 5
		"-vf", "setparams=color_primaries=bt2020:color_trc="+transfer+":colorspace=bt2020nc:range=tv") // 6 and later
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
	hlg, slog3 := build.Unhex(build.PublicHLG), build.Unhex(build.CameraLogS3)
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
	system := build.Unhex("060E2B34 02050101 0D010301 04010100")
	if n := bytes.Count(file, system); n != 10 {
		t.Fatalf("%d system items for 10 frames", n)
	}
	for where, carry := range build.Carriers {
		if where == "MXF system item" {
			continue // would have to be inside FFmpeg's own item
		}
		parts := strings.Split(string(file), string(system))
		spliced := []byte(parts[0])
		for i, part := range parts[1:] {
			spliced = append(spliced, carry(build.CameraSets(build.SLog3Cine, 800+100*i, 0x8000))...)
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
