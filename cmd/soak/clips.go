//go:build linux

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// A clip is a small one, undamaged.
type clip struct {
	name string // of its file
	data []byte
}

// width and height are the least that all codecs take.
const width, height = 256, 128

// cardRegion is well inside the card of each clip.
const cardRegion = "64,32,128,64"

// recorded are the clips of the synthetic camera, a codec and container each.
var recorded = []struct {
	name string
	how  synth.Encoding
}{
	{"hevc.mp4", synth.Encoding{Codec: synth.HEVC, LongGOP: true}},
	{"avc.mp4", synth.Encoding{Codec: synth.H264, LongGOP: true}},
	{"prores.mov", synth.Encoding{Codec: synth.ProRes422, Timecode: "10:00:00:00",
		Metadata: map[string]string{"com.atomos.hdr.gamma": "SLog3"}}},
	{"dnxhr.mxf", synth.Encoding{Codec: synth.DNxHR, Transfer: "arib-std-b67", Primaries: "bt2020"}},
	{"ffv1.mkv", synth.Encoding{Codec: synth.FFV1}},
	{"av1.mkv", synth.Encoding{Codec: synth.AV1}},
	{"vp9.webm", synth.Encoding{Codec: synth.VP9}},
	{"v210.mov", synth.Encoding{Codec: synth.V210}},
}

// rewritten are made of recorded ones by FFmpeg's own tool.
var rewritten = []struct{ name, from, how string }{
	{"hevc.ts", "hevc.mp4", "-c copy"},
	{"ffv1.avi", "ffv1.mkv", "-c copy"},
	{"mpeg2.mpg", "avc.mp4", "-c:v mpeg2video -pix_fmt yuv420p"},
	{"pictures.dpx", "v210.mov", "-frames:v 1 -pix_fmt gbrp10le"},
	{"pictures.tif", "v210.mov", "-frames:v 1 -pix_fmt rgb48le"},
}

// recordClips makes all clips in a folder.
func recordClips(folder string) (clips []clip, err error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, err
	}
	for i, r := range recorded {
		if err := recordClip(filepath.Join(folder, r.name), r.how, uint64(i), 4); err != nil {
			return nil, err
		}
		clips = append(clips, clip{name: r.name})
	}
	for _, r := range rewritten {
		args := append([]string{"-v", "error", "-i", r.from}, strings.Fields(r.how)...)
		c := exec.Command("ffmpeg", append(args, "-y", r.name)...)
		c.Dir = folder
		if said, err := c.CombinedOutput(); err != nil {
			return nil, fmt.Errorf("%s cannot be made: %w: %s", r.name, err, said)
		}
		clips = append(clips, clip{name: r.name})
	}
	for i := range clips {
		if clips[i].data, err = os.ReadFile(filepath.Join(folder, clips[i].name)); err != nil {
			return nil, err
		}
	}
	return clips, nil
}

// recordClip records a grey card before a darker wall, exposed over nominal by half a stop for each
// step of the seed.
func recordClip(path string, how synth.Encoding, seed uint64, frames int) error {
	c, err := curve.Find("slog3")
	if err != nil {
		return err
	}
	cam := synth.NewCamera(width, height, c)
	cam.Sampling = synth.S422
	if how.Codec == synth.VP9 || how.Codec == synth.AV1 || how.Codec == synth.H264 {
		cam.Sampling = synth.S420
	}
	scene := synth.Scene{Name: "card", Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.05)},
		synth.NewCard(geometry.Upright(width/8, height/8, width*3/4, height*3/4), curve.MidGrey)}}
	_, err = synth.Record(path, cam, synth.Shot{Scene: scene, Seed: seed, Frames: frames,
		Stops: curve.Stops(seed%5) / 2}, how)
	return err
}

// put writes files into a folder, which is made.
func put(folder string, clips ...clip) error {
	err := os.MkdirAll(folder, 0o755)
	for _, c := range clips {
		if err == nil {
			err = os.WriteFile(filepath.Join(folder, c.name), c.data, 0o644)
		}
	}
	return err
}
