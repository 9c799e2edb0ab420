package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
	"stopledger/report"
	"stopledger/testdata/footage"
)

// soundTrack is a QuickTime file of a second of silence and no picture.
func soundTrack() []byte {
	const rate = 8000
	entry := build.MP4("sowt", make([]byte, 6), build.U16(1), make([]byte, 8), build.U16(1), build.U16(16),
		make([]byte, 4), build.U32(rate<<16))
	return oneTrack("soun", build.Full("smhd", build.U32(0)), entry, rate, make([]byte, 2*rate), 2, rate)
}

// pictureTrack is a QuickTime file whose only track, of pictures, holds none.
func pictureTrack() []byte {
	entry := build.MP4("apch", make([]byte, 6), build.U16(1), make([]byte, 16), build.U16(takeWidth),
		build.U16(takeHeight), make([]byte, 50))
	return oneTrack("vide", build.Full("vmhd", build.U32(0), build.U32(0)), entry, 25, nil, 0, 0)
}

// oneTrack is a file of one track whose samples, count of size bytes each, are in one chunk.
func oneTrack(kind string, media, entry []byte, scale int, data []byte, size, count int) []byte {
	ftyp := build.MP4("ftyp", []byte("qt  "), build.U32(0), []byte("qt  "))
	chunks := build.Full("stco", build.U32(1), build.U32(len(ftyp)+8))
	runs := build.Full("stsc", build.U32(1), build.U32(1), build.U32(count), build.U32(1))
	if count == 0 {
		chunks, runs = build.Full("stco", build.U32(0)), build.Full("stsc", build.U32(0))
	}
	self := build.MP4("dinf", build.Full("dref", build.U32(1), build.Join(build.U32(12), []byte("url "), build.U32(1))))
	table := build.MP4("stbl", build.Full("stsd", build.U32(1), entry),
		build.Full("stts", build.U32(1), build.U32(count), build.U32(1)),
		runs, build.Full("stsz", build.U32(size), build.U32(count)), chunks)
	track := build.MP4("trak",
		build.Full("tkhd", build.U32(0), build.U32(0), build.U32(1), build.U32(0), build.U32(count), make([]byte, 60)),
		build.MP4("mdia", build.Full("mdhd", build.U32(0), build.U32(0), build.U32(scale), build.U32(count), build.U32(0)),
			build.Handler(kind),
			build.MP4("minf", media, self, table)))
	head := build.Full("mvhd", build.U32(0), build.U32(0), build.U32(scale), build.U32(count), make([]byte, 80))
	return build.Join(ftyp, build.MP4("mdat", data), build.MP4("moov", head, track))
}

func randomBytes(seed uint64, n int) []byte {
	rng, p := rand.New(rand.NewPCG(seed, 0)), make([]byte, n)
	for i := range p {
		p[i] = byte(rng.Uint32())
	}
	return p
}

// badClips are files that hold nothing to measure, with what is said of each.
func badClips(t *testing.T) map[string]struct {
	content []byte
	says    string
} {
	whole := build.ReadFile(t, take{curve: "S-Log3"}.file(t, "whole.mp4"))
	other := build.ReadFile(t, take{curve: "S-Log3", how: synth.Encoding{Codec: synth.FFV1}}.file(t, "whole.mkv"))
	return map[string]struct {
		content []byte
		says    string
	}{
		"empty.mov":      {nil, "the file is empty"},
		"one-byte.mp4":   {[]byte{0}, "it is not a video file"},
		"random.mov":     {randomBytes(1, 100_000), "it is not a video file"},
		"random.mxf":     {randomBytes(2, 100_000), "not a video file"},
		"text.mp4":       {bytes.Repeat([]byte("Slate 12, take 3: boom in shot.\n"), 500), "it is not a video file"},
		"sound.mov":      {soundTrack(), "no video"},
		"no-frames.mov":  {pictureTrack(), "not one frame"},
		"cut-index.mp4":  {whole[:len(whole)/2], "no index"},
		"cut-header.mp4": {whole[:20], "copy it again"},
		"cut-frames.mkv": {other[:1000], "not one frame"},
	}
}

// reasonsTold reads what stderr lists: why each path was not measured. Paths are told once.
func reasonsTold(t *testing.T, stderr string) map[string]string {
	t.Helper()
	reasons, group := map[string]string{}, ""
	tell := func(path, why string) {
		if reasons[path] != "" {
			t.Errorf("%s is told twice: %s", path, stderr)
		}
		reasons[path] = why
	}
	for line := range strings.Lines(stderr) {
		line = strings.TrimSuffix(line, "\n")
		if one, ok := strings.CutPrefix(line, "not measured: "); ok {
			path, why, _ := strings.Cut(one, ": ")
			tell(path, why)
		} else if _, why, ok := strings.Cut(line, " clips: "); ok && strings.HasPrefix(line, "not measured, ") {
			group = why
		} else if path, ok := strings.CutPrefix(line, "    "); ok {
			tell(path, group)
		} else {
			t.Errorf("stderr has a line of something else: %q", line)
		}
	}
	return reasons
}

// A folder of bad clips with one good one among them: a clear line for each bad one, the good one
// measured, and a document that holds them all.
func TestBadClipsBesideAGoodOne(t *testing.T) {
	dir := t.TempDir()
	bad := badClips(t)
	for name, b := range bad {
		build.WriteFile(t, filepath.Join(dir, name), b.content)
	}
	good := filepath.Join(dir, "good.mp4")
	take{curve: "S-Log3", stops: 1}.record(t, good)
	notes := filepath.Join(t.TempDir(), "notes")
	missing := filepath.Join(dir, "gone.mov")
	if err := os.Mkdir(notes, 0o755); err != nil {
		t.Fatal(err)
	}
	doc, code, stderr := audited(t, "--curve", "slog3", "--region", takeCard, dir, notes, missing)
	if code != exitSomeFailed || len(doc.Clips) != 1 || doc.Clips[0].Path != good || len(doc.Failed) != len(bad)+2 {
		t.Fatalf("exit code %d, %d clips, %d failed: %s", code, len(doc.Clips), len(doc.Failed), stderr)
	}
	reasons := reasonsTold(t, stderr)
	if len(reasons) != len(doc.Failed) {
		t.Errorf("%d are told of %d failures: %s", len(reasons), len(doc.Failed), stderr)
	}
	told := func(path, says string) {
		in := slices.IndexFunc(doc.Failed, func(f report.Failure) bool { return f.Path == path })
		if in < 0 || !strings.Contains(reasons[path], says) || !strings.Contains(reasons[path], "; ") ||
			!strings.Contains(doc.Failed[in].Error, says) {
			t.Errorf("%s is not said to be %q and what to do: %s", path, says, stderr)
		}
	}
	for name, b := range bad {
		told(filepath.Join(dir, name), b.says)
	}
	told(notes, "no clip in this folder")
	told(missing, "no such file")
	code, stdout, _ := program(t, "audit", "--curve", "slog3", dir)
	if code != exitSomeFailed || !strings.Contains(stdout,
		fmt.Sprintf("1 clip measured, %d could not be measured.", len(bad))) {
		t.Errorf("exit code %d: %s", code, stdout)
	}
}

func TestClipThatMayNotBeRead(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("root may read everything")
	}
	path := take{curve: "S-Log3"}.file(t, "locked.mp4")
	if err := os.Chmod(path, 0); err != nil {
		t.Fatal(err)
	}
	oneFailure(t, []string{"cannot be opened", "check its permissions"}, "--curve", "slog3", path)
}

// A clip that is cut off anywhere is measured as far as it goes and said to be cut off, or fails in
// one line.
func TestCutClips(t *testing.T) {
	larger := func(c *synth.Camera) { c.Width, c.Height = 256, 128 }
	for name, k := range map[string]take{
		"a.mkv": {curve: "S-Log3", how: synth.Encoding{Codec: synth.FFV1}, frames: 8},
		"a.mxf": {curve: "S-Log3", how: synth.Encoding{Codec: synth.DNxHR}, frames: 8, change: larger},
		"a.mp4": {curve: "S-Log3", frames: 8},
	} {
		path := k.file(t, name)
		whole := build.ReadFile(t, path)
		measured := 0
		for part := range 20 {
			build.WriteFile(t, path, whole[:len(whole)*part/20])
			doc, code, stderr := audited(t, "--curve", "slog3", path)
			switch {
			case code == exitSomeFailed && len(doc.Failed) == 1 && strings.Count(stderr, "\n") == 1:
			case code == exitMeasured && len(doc.Clips) == 1:
				measured++
				c := doc.Clips[0]
				f, said := finding(c, "truncated")
				if c.Sampling.FramesLost == 0 || !said || f.Level != "caution" ||
					c.Sampling.FramesMeasured+c.Sampling.FramesLost != 8 {
					t.Errorf("%s cut at %d/20: %d frames measured, %d lost, finding %+v", name, part, c.Sampling.FramesMeasured,
						c.Sampling.FramesLost, f)
				}
			default:
				t.Errorf("%s cut at %d/20: exit code %d, %d clips, %s", name, part, code, len(doc.Clips), stderr)
			}
		}
		if most := map[string]int{"a.mkv": 16, "a.mxf": 8, "a.mp4": 0}[name]; measured < most {
			t.Errorf("%s: %d of 20 cuts were measured in part, want %d", name, measured, most)
		}
	}
}

// What the real files hold: testdata/footage/README.md, bad/.
func TestRealBadClips(t *testing.T) {
	doc, code, stderr := audited(t, "--curve", "bt709", "--every-frame", footage.Path(t, "bad"))
	if code != exitMeasured || len(doc.Clips) != 2 {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	for i, want := range []struct {
		name           string
		measured, lost int
	}{{"invalid_nalu.mp4", 29, 1}, {"mdat_too_long.mp4", 30, 0}} {
		c := doc.Clips[i]
		if filepath.Base(c.Path) != want.name || c.Sampling.FramesMeasured != want.measured ||
			c.Sampling.FramesLost != want.lost {
			t.Errorf("%s: %+v", c.Path, c.Sampling)
		}
		if _, said := finding(c, "truncated"); said != (want.lost > 0) {
			t.Errorf("%s: findings %+v", c.Path, c.Advice.Findings)
		}
	}
}

// Names that a shell, a terminal, a page or a flag could take for something else.
var oddNames = []string{
	"two\nlines.mp4", "\x1b[31mred\x1b[0m.mp4", "<script>alert(1)</script>&amp;.mp4", "-dash.mp4", "--curve.mp4",
	"naïve ☃ 片 \u202eright.mp4", " blanks .mp4", "quote\"'`.mp4", "100%d.mp4", "=cmd()|'x'.mp4", "back\\slash.mp4",
	"a,b;c.mp4",
}

func TestOddNames(t *testing.T) {
	t.Chdir(t.TempDir())
	clip := build.ReadFile(t, take{curve: "S-Log3", stops: 1}.file(t, "a.mp4"))
	for _, name := range oddNames {
		name = strings.ReplaceAll(name, "/", "\u2215") // no name holds a slash
		build.WriteFile(t, name, clip)
		build.WriteFile(t, "bad "+name, nil)
	}
	doc, code, stderr := audited(t, "--curve", "slog3", "--out", "report", "--", ".")
	if code != exitSomeFailed || len(doc.Clips) != len(oddNames) || len(doc.Failed) != len(oddNames) {
		t.Fatalf("exit code %d, %d clips, %d failed: %s", code, len(doc.Clips), len(doc.Failed), stderr)
	}
	for _, name := range oddNames {
		name = strings.ReplaceAll(name, "/", "\u2215")
		if !slices.ContainsFunc(doc.Clips, func(c report.Clip) bool { return c.Path == name }) {
			t.Errorf("%q is not in the document under its name", name)
		}
	}
	_, stdout, _ := program(t, append([]string{"audit", "--curve", "slog3", "--"}, oddNames[3], oddNames[4])...)
	if !strings.Contains(stdout, "2 clips measured") {
		t.Errorf("clips that look like flags: %s", stdout)
	}
	_, stdout, _ = program(t, "audit", "--curve", "slog3", ".")
	written := string(build.ReadFile(t, "report/audit.txt"))
	for what, text := range map[string]string{"stderr": stderr, "stdout": stdout, "audit.txt": written} {
		if i := strings.IndexFunc(text, func(r rune) bool { return r != '\n' && !unicode.IsPrint(r) }); i >= 0 {
			t.Errorf("%s holds %q", what, text[max(0, i-20):min(len(text), i+20)])
		}
	}
	if reasons := reasonsTold(t, stderr); len(reasons) != len(oddNames) {
		t.Errorf("stderr tells of %d of %d failures: %s", len(reasons), len(oddNames), stderr)
	}
	pagesAreSound(t, "report")
}

// pagesAreSound checks that no name became markup, and that every file is named plainly.
func pagesAreSound(t *testing.T, dir string) {
	t.Helper()
	pages, pictures := 0, 0
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name := filepath.Base(path)
		if strings.Trim(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._-") != "" || name[0] == '-' {
			t.Errorf("a file of the report is called %q", name)
		}
		switch filepath.Ext(name) {
		case ".html":
			pages++
			text := build.ReadFile(t, path)
			if bytes.Contains(text, []byte("<script>alert")) || bytes.ContainsRune(text, 0x1b) || !utf8.Valid(text) {
				t.Errorf("%s holds a name as it is", path)
			}
		case ".png":
			pictures++
		case ".json":
			if !json.Valid(build.ReadFile(t, path)) {
				t.Errorf("%s is no JSON", path)
			}
		}
		return nil
	})
	if err != nil || pages < len(oddNames) || pictures < len(oddNames) {
		t.Errorf("%d pages, %d pictures: %v", pages, pictures, err)
	}
}

// A name that is no text at all.
func TestNameThatIsNotUnicode(t *testing.T) {
	path := filepath.Join(t.TempDir(), "raw \xff\xfe.mp4")
	if err := os.WriteFile(path, nil, 0o644); err != nil {
		t.Skip("this file system does not take such a name")
	}
	take{curve: "S-Log3"}.record(t, path)
	doc, code, stderr := audited(t, "--curve", "slog3", path)
	if code != exitMeasured || len(doc.Clips) != 1 || !utf8.ValidString(doc.Clips[0].Path) {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	_, stdout, _ := program(t, "audit", "--curve", "slog3", path)
	if !utf8.ValidString(stdout) {
		t.Errorf("%q", stdout)
	}
}
