package detect_test

import (
	"context"
	"errors"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"unsafe"

	"stopledger/analyze/detect/pose"
	"stopledger/decode"
)

// codings are how the posed scenes are recorded, each frame by itself, by FFmpeg's encoders. At these
// rate factors a frame takes 0.7 to 0.9 bits a pixel, half of what cameras spend on frames coded so.
var codings = []struct {
	name string
	subY int // chroma: 2 for 4:2:0, 1 for 4:2:2
	file string
	args []string
}{
	{"ProRes 422 HQ", 1, "poses.mov", []string{"-c:v", "prores_ks", "-profile:v", "hq", "-vendor", "apl0"}},
	{"HEVC 4:2:0", 2, "poses.mp4", []string{"-c:v", "libx265", "-preset", "veryfast", "-crf", "10",
		"-x265-params", "log-level=none:keyint=1"}},
	{"H.264 4:2:2", 1, "poses.mp4", []string{"-c:v", "libx264", "-preset", "veryfast", "-crf", "12", "-g", "1"}},
}

// TestPosesThroughCodecs looks for the same charts and cards, and for nothing, in what codecs leave
// of them.
func TestPosesThroughCodecs(t *testing.T) {
	if testing.Short() {
		t.Skip("encodes whole clips")
	}
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("the ffmpeg program is not installed")
	}
	for _, c := range codings {
		rec := recorder{t, filepath.Join(t.TempDir(), c.file), c.subY, c.args}
		t.Run(c.name, func(t *testing.T) {
			t.Run("charts", func(t *testing.T) {
				judge(t, rec.each(func(seed uint64) (*pose.Scene, pose.Posed) {
					return pose.ChartScene(seed,
						false)
				}, func(p pose.Posed) pose.Verdict {
					return told(t, &p, p.JudgeChart(look(p, withoutFaces)), true)
				}))
			})
			t.Run("cards", func(t *testing.T) {
				judge(t, rec.each(pose.CardScene, func(p pose.Posed) pose.Verdict {
					return told(t, &p, p.JudgeCard(look(p, withoutFaces)), true)
				}))
			})
			t.Run("empty", func(t *testing.T) {
				judgeEmpty(t, rec.each(pose.EmptyScene, func(p pose.Posed) pose.Verdict {
					return told(t, &p, p.JudgeEmpty(look(p, withFaces)), false)
				}))
			})
		})
	}
}

// A recorder makes clips of posed scenes, one scene a frame.
type recorder struct {
	t    *testing.T
	path string
	subY int
	args []string
}

// each records *coded scenes and counts what is made of them as decoded.
func (r *recorder) each(build func(seed uint64) (*pose.Scene, pose.Posed),
	verdict func(pose.Posed) pose.Verdict) *pose.Tally {
	scenes := r.encode(build)
	clip, err := decode.Open(r.path)
	if err != nil {
		r.t.Fatal(err)
	}
	defer clip.Close()
	tally := &pose.Tally{}
	err = clip.Read(context.Background(), decode.ReadOptions{}, func(f *decode.Frame) error {
		if f.Index >= len(scenes) {
			return errors.New("more frames than were recorded")
		}
		p := scenes[f.Index]
		p.Frame = f
		tally.Take(verdict(p))
		return nil
	})
	if err != nil || tally.Looked != len(scenes) {
		r.t.Fatalf("%s: %d of %d frames read: %v", r.path, tally.Looked, len(scenes), err)
	}
	return tally
}

// encode pipes the frames of scenes, built two at a time, through ffmpeg.
func (r *recorder) encode(build func(seed uint64) (*pose.Scene, pose.Posed)) (scenes []pose.Posed) {
	chroma := map[int]string{1: "yuv422p10le", 2: "yuv420p10le"}[r.subY]
	args := append([]string{"-v", "error", "-y", "-f", "rawvideo", "-pix_fmt", chroma, "-s", "1280x720", "-r",
		"24", "-i", "-"}, r.args...)
	cmd := exec.Command("ffmpeg", append(args, "-pix_fmt", chroma, "-color_range", "tv", "-colorspace", "bt709",
		r.path)...)
	var complaint strings.Builder
	cmd.Stderr = &complaint
	in, err := cmd.StdinPipe()
	if err != nil {
		r.t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		r.t.Fatal(err)
	}
	for next := range r.rendered(build) {
		p := <-next
		if err := writeRaw(in, p.Frame); err != nil {
			break // what ffmpeg says of it comes below
		}
		p.Frame = nil
		scenes = append(scenes, p)
	}
	in.Close()
	if err := cmd.Wait(); err != nil || len(scenes) != *coded {
		r.t.Fatalf("ffmpeg: %v\n%s", err, complaint.String())
	}
	return scenes
}

// rendered returns the scenes in order, each to come; two are rendered ahead.
func (r *recorder) rendered(build func(seed uint64) (*pose.Scene, pose.Posed)) <-chan chan pose.Posed {
	order := make(chan chan pose.Posed, 1)
	go func() {
		defer close(order)
		for i := range uint64(*coded) {
			one := make(chan pose.Posed, 1)
			go func() {
				s, p := build(*first + i)
				p.Frame = s.Frame(p.Reading, p.Matrix, r.subY)
				one <- p
			}()
			order <- one
		}
	}()
	return order
}

// writeRaw writes a frame's samples plane by plane, little-endian as this machine's.
func writeRaw(w io.Writer, f *decode.Frame) error {
	for _, p := range f.Planes {
		for y := range p.Height {
			row := p.Row(y)
			if _, err := w.Write(unsafe.Slice((*byte)(unsafe.Pointer(&row[0])), 2*len(row))); err != nil {
				return err
			}
		}
	}
	return nil
}
