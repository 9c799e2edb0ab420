package decode

import (
	"context"
	"testing"

	"github.com/asticode/go-astiav"

	"stopledger/decode/gop"
	"stopledger/testdata/footage"
)

// soughtSpans reach for the start, single frames, neighbours, and the end of a clip.
func soughtSpans(frames int) []Span {
	f := func(share float64) int { return int(share * float64(frames)) }
	return []Span{{0, 1}, {f(0.2), 1}, {f(0.2) + 1, 2}, {f(0.45), 3}, {f(0.6) + 1, 1}, {f(0.8), 2}, {frames - 2, 2}}
}

// fewSpans are for clips that take long to decode.
func fewSpans(frames int) []Span { return []Span{{frames / 3, 2}, {frames - 9, 1}} }

// lastSpans are for clips of ten or so frames.
func lastSpans(frames int) []Span { return []Span{{frames / 3, 2}, {frames - 2, 1}} }

// TestSeekedFramesAreThoseOfLinearDecoding compares digests of frames reached by seeking with
// those of the same clip decoded from its start.
func TestSeekedFramesAreThoseOfLinearDecoding(t *testing.T) {
	for _, clip := range testClips {
		t.Run(clip.name, func(t *testing.T) { compareSeeking(t, clip.make(t), soughtSpans) })
	}
	for _, name := range []string{"phone-rooftops-hlg-hevc10-editlist.mp4", "rooftops-pq-hevc10.mp4",
		"roadtrip-vp9-10bit.webm"} {
		t.Run(name, func(t *testing.T) { compareSeeking(t, footage.Path(t, "video/"+name), fewSpans) })
	}
	for _, name := range []string{"phone-rooftops-hlg-cut.mov", "rooftops-pq-cut.mp4"} {
		t.Run(name, func(t *testing.T) { compareSeeking(t, footage.Path(t, "video/"+name), lastSpans) })
	}
}

// TestSeekAtVariableRate reaches frames of clips whose frames come at irregular times. Only where
// the container counts frames can their numbers agree with linear decoding; their times always do.
func TestSeekAtVariableRate(t *testing.T) {
	const gaps = "-vf select='gt(mod(n,5),1)' -fps_mode passthrough "
	const hole = "-vf select='lt(n,31)+gt(n,70)' -fps_mode passthrough "
	for _, clip := range []testClip{
		{name: "mov", file: "variable.mov", frames: 60,
			encode: gaps + "-pix_fmt yuv420p10le -c:v libx265 -x265-params log-level=none:keyint=10:bframes=3"},
		{name: "matroska", file: "variable.mkv", frames: 60,
			encode: gaps + "-pix_fmt yuv420p -c:v libx264 -preset veryfast -g 10"},
		{name: "hole in matroska", file: "hole.mkv", frames: 60,
			encode: hole + "-pix_fmt yuv420p -c:v libx264 -preset veryfast -g 10"},
		{name: "hole in a transport stream", file: "hole.ts", frames: 60,
			encode: hole + "-pix_fmt yuv420p -c:v libx264 -preset veryfast -g 10"},
	} {
		t.Run(clip.name, func(t *testing.T) {
			path := clip.make(t)
			if clip.name == "mov" {
				compareSeeking(t, path, soughtSpans)
			}
			c := mustOpen(t, path)
			linear := digestsByTime(t, c, ReadOptions{})
			sought := digestsByTime(t, c, ReadOptions{Spans: []Span{{3, 2}, {25, 1}, {40, 3}}})
			if len(linear) != 60 || len(sought) != 6 {
				t.Errorf("%d frames in linear decoding, %d sought", len(linear), len(sought))
			}
			for at, digest := range sought {
				if linear[at] != digest {
					t.Errorf("the frame at %v s is another than in linear decoding", at)
				}
			}
		})
	}
}

func digestsByTime(t *testing.T, c *Clip, opt ReadOptions) map[float64]digest {
	t.Helper()
	seen := map[float64]digest{}
	if err := c.Read(context.Background(), opt, func(f *Frame) error {
		seen[f.Time] = digestOf(f)
		return nil
	}); err != nil {
		t.Error(err)
	}
	return seen
}

func compareSeeking(t *testing.T, path string, plan func(frames int) []Span) {
	t.Helper()
	c := mustOpen(t, path)
	linear, err := readDigests(t, c, ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	spans := plan(len(linear))
	sought, err := readDigests(t, c, ReadOptions{Spans: spans})
	if err != nil {
		t.Fatal(err)
	}
	wanted := 0
	for _, s := range spans {
		wanted += s.Count
	}
	if len(sought) != wanted {
		t.Errorf("%d frames came, want %d", len(sought), wanted)
	}
	for index, digest := range sought {
		if digest != linear[index] {
			t.Errorf("frame %d is another than in linear decoding", index)
		}
	}
}

// TestSeekLandsBefore checks that seeking is really done, and where it lands.
func TestSeekLandsBefore(t *testing.T) {
	cannot := map[string]bool{"h264 mxf": true}
	for _, clip := range testClips {
		t.Run(clip.name, func(t *testing.T) {
			s, err := openContainer(clip.make(t), true)
			if err != nil {
				t.Fatal(err)
			}
			defer s.close()
			frame := clip.withDefaults().frames - 1
			l, err := s.seek(frame)
			switch {
			case cannot[clip.name] && err == nil:
				t.Errorf("landed at %d, though the time stamps do not allow it", l.number)
			case cannot[clip.name]:
			case err != nil:
				t.Error(err)
			case l.number > frame || frame-l.number > 24 || (l.number < frame-1 && !clip.want.LongGOP &&
				clip.want.Codec != "ffv1"):
				t.Errorf("seeking frame %d landed at %d", frame, l.number)
			}
		})
	}
}

// keys264 has no I pictures but its key frames, 12 apart.
var keys264 = testClip{file: "h264-keys.mp4", frames: 48, encode: "-pix_fmt yuv420p -c:v libx264 -preset veryfast " +
	"-x264-params keyint=12:min-keyint=12:scenecut=0:bframes=2:b-adapt=0:weightp=0"}

// TestNoMoreIsDecoded counts the frames that are decoded for some of a clip with key frames 12 apart: from the
// last key frame before, or on from the span before where that lies nearer, up to the last that is wanted,
// and of those before it only what others refer to. In decoding order, b for frames that none refers to, the
// HEVC has I24 P28 B26 b25 b27 and I36 P39 B38 b37 P43 B41 b40 b42 P47 B45 b44 b46, the H.264
// I24 P27 B25 b26 and I36 P39 B37 b38 P42 B40 b41 P45 B43 b44 P47 b46, as their NAL units say.
func TestNoMoreIsDecoded(t *testing.T) {
	hevc := clipNamed(t, "hevc long")
	h264 := keys264.make(t)
	for _, tc := range []struct {
		path  string
		spans []Span
		want  int
	}{
		{hevc, []Span{{26, 2}}, 3}, // I24, B26, b27; P28 is shown after them
		{hevc, []Span{{26, 2}, {46, 2}}, 11},
		{hevc, []Span{{13, 1}, {23, 1}}, 7},
		{hevc, []Span{{24, 1}}, 1},
		{h264, []Span{{26, 2}}, 4},
		{h264, []Span{{26, 2}, {46, 2}}, 13},
		{h264, []Span{{13, 1}, {23, 1}}, 9}, // b14 as well: it is not known yet what is asked for next
		{h264, []Span{{24, 1}}, 1},
	} {
		c := mustOpen(t, tc.path)
		decoded := 0
		c.Watch(func() { decoded++ })
		got, err := readDigests(t, c, ReadOptions{Spans: tc.spans})
		if err != nil || decoded != tc.want {
			t.Errorf("%s, %v: %d frames of %d decoded, want %d; %v", tc.path, tc.spans, len(got), decoded, tc.want, err)
		}
	}
}

// TestKeyFrames: of frames of clips with an index the key frame before is that of linear decoding; where there
// is no index nothing is said of it.
func TestKeyFrames(t *testing.T) {
	for _, path := range []string{clipNamed(t, "hevc long"), clipNamed(t, "hevc open"), keys264.make(t),
		clipNamed(t, "prores hq")} {
		c := mustOpen(t, path)
		last := -1
		if err := c.Read(t.Context(), ReadOptions{}, func(f *Frame) error {
			if f.Picture == 'I' {
				last = f.Index
			}
			if at, ok := c.KeyFrame(f.Index); !ok || at != last {
				t.Errorf("%s, frame %d: key frame %d, %v, want %d", path, f.Index, at, ok, last)
			}
			return nil
		}); err != nil {
			t.Error(err)
		}
		if at, ok := c.KeyFrame(-1); ok {
			t.Errorf("%s: key frame %d before the first", path, at)
		}
	}
	for _, name := range []string{"h264 open", "h264 mxf", "mpeg2 mxf", "h264 transport stream"} {
		if at, ok := mustOpen(t, clipNamed(t, name)).KeyFrame(20); ok {
			t.Errorf("%s: key frame %d", name, at)
		}
	}
}

// TestSpareFrames: x265 marks frames that no other refers to, in a table of the container; their NAL units say
// the same.
func TestSpareFrames(t *testing.T) {
	const disposable = 0x10                                   // AV_PKT_FLAG_DISPOSABLE, of the sample dependency table
	for _, name := range []string{"hevc long", "hevc open"} { // that of H.264 marks none
		s, err := openContainer(clipNamed(t, name), true)
		if err != nil {
			t.Fatal(err)
		}
		defer s.close()
		stream := gop.StreamOf(s.parameters().CodecID().Name(), s.parameters().ExtraData())
		packet := astiav.AllocPacket()
		defer packet.Free()
		spare, all := 0, 0
		for ; s.next(packet) == nil; all++ {
			is := stream.Spare(payload(packet))
			if is {
				spare++
			}
			if marked := int(packet.Flags())&disposable != 0; marked != is {
				t.Errorf("%s, packet %d: spare by its units: %v, by the container: %v", name, all, is, marked)
			}
		}
		t.Logf("%s: %d of %d", name, spare, all)
		if spare == 0 {
			t.Errorf("%s: none of %d packets is spare", name, all)
		}
	}
}

// TestSeekToEveryFrame reaches each frame of clips by itself whose key frames are followed by
// frames shown before them, which may refer to what was before the key frame.
func TestSeekToEveryFrame(t *testing.T) {
	for _, name := range []string{"hevc open", "h264 open", "mpeg2 mxf", "h264 transport stream"} {
		t.Run(name, func(t *testing.T) {
			c := mustOpen(t, clipNamed(t, name))
			linear, err := readDigests(t, c, ReadOptions{})
			if err != nil {
				t.Fatal(err)
			}
			for index := range linear {
				sought, err := readDigests(t, c, ReadOptions{Spans: []Span{{index, 1}}})
				if err != nil || len(sought) != 1 || sought[index] != linear[index] {
					t.Errorf("frame %d: %d frames came, the same as in linear decoding: %v; error: %v",
						index, len(sought), sought[index] == linear[index], err)
				}
			}
		})
	}
}

// TestStreamsWithLittleAroundThem reads streams without a container, or with one that says little:
// some have no time stamps, no length and no way to seek.
func TestStreamsWithLittleAroundThem(t *testing.T) {
	for _, clip := range []testClip{
		{name: "h264", file: "raw.h264", frames: 40,
			encode: "-pix_fmt yuv422p10le -c:v libx264 -preset veryfast -g 10 -bf 2"},
		{name: "hevc", file: "raw.hevc", frames: 40,
			encode: "-pix_fmt yuv420p10le -c:v libx265 -x265-params log-level=none:keyint=10:bframes=2"},
		{name: "ivf", file: "raw.ivf", frames: 40,
			encode: "-pix_fmt yuv420p -c:v libvpx-vp9 -deadline realtime -cpu-used 8 -g 10"},
		{name: "avi", file: "huffman.avi", frames: 40, encode: "-pix_fmt yuv422p10le -c:v ffvhuff"},
		{name: "mpeg program stream", file: "clip.mpg", frames: 40, encode: "-pix_fmt yuv420p -c:v mpeg2video -g 10 -bf 2"},
	} {
		t.Run(clip.name, func(t *testing.T) {
			path := clip.make(t)
			compareWithFFmpeg(t, path, clip.frames, "-i", path)
			compareSeeking(t, path, soughtSpans)
		})
	}
}

// A badSeeker seeks too far, or not at all.
type badSeeker struct {
	source
	beyond int // frames; 0: fails
	calls  int
}

func (b *badSeeker) seek(frame int) (landing, error) {
	b.calls++
	if b.beyond == 0 {
		return landing{}, errNoSeek
	}
	return b.source.seek(frame + b.beyond)
}

// TestBadSeeks reads the right frames though seeking comes down too late or fails.
func TestBadSeeks(t *testing.T) {
	for _, beyond := range []int{0, 13, 30} {
		c := mustOpen(t, clipNamed(t, "hevc open"))
		want, err := readDigests(t, c, ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		in, err := c.takeInput()
		if err != nil {
			t.Fatal(err)
		}
		bad := &badSeeker{source: in.source, beyond: beyond}
		in.source, c.input = bad, in
		got, err := readDigests(t, c, ReadOptions{Spans: []Span{{5, 1}, {16, 2}, {33, 3}}})
		if err != nil || len(got) != 6 || bad.calls == 0 {
			t.Errorf("%d frames beyond: %d frames came after %d seeks, %v", beyond, len(got), bad.calls, err)
		}
		compareFrames(t, got, want)
	}
}
