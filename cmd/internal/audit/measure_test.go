package audit

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/advise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
	"stopledger/report"
)

const width, height = 480, 270

// pictured asks for a clip to be measured and its pictures to be written.
func pictured(path, folder string) Job {
	var set analyze.Settings
	set.Grey, set.Reflectance, set.Pictures, set.Threads = placement.Auto, curve.MidGrey, true, 1
	return Job{Path: path, Settings: set, Folder: folder, Progress: func(float64) {}}
}

// recorded makes a small clip of a card and returns its path and what is true of it.
func recorded(t *testing.T, over curve.Stops) (string, synth.Truth) {
	t.Helper()
	c, err := curve.Find("slog3")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "a.mkv")
	shot := synth.Shot{Scene: synth.Wheelhouse(width, height), Seed: 3, Frames: 4, Stops: over}
	truth, err := synth.Record(path, synth.NewCamera(width, height, c), shot, synth.Encoding{Codec: synth.FFV1,
		Timecode: "10:00:00:00", Metadata: map[string]string{"com.atomos.hdr.gamma": "SLog3"}})
	if err != nil {
		t.Fatal(err)
	}
	return path, truth
}

// One clip's way: opened, read, settled, measured, advised on, put into the document, with pictures
// last. The truth is the synthetic camera's.
func TestMeasure(t *testing.T) {
	path, truth := recorded(t, 1)
	dir := t.TempDir()
	c, err := Measure(t.Context(), pictured(path, dir))
	if err != nil {
		t.Fatal(err)
	}
	const within = 0.05 // stops: a card's tilt alone moves it by as much
	if p := c.Placement; p == nil || p.Stops-truth.Placement > within || truth.Placement-p.Stops > within {
		t.Errorf("placement %+v, recorded at %+.2f", p, truth.Placement)
	}
	if c.Curve.Name != "S-Log3" || c.Curve.Origin != metadata.OriginKey || c.Sampling.FramesMeasured != 4 ||
		c.Timecode != "10:00:00:00" || c.Width != width || c.Frames != 4 {
		t.Errorf("curve %+v, sampling %+v, file %+v", c.Curve, c.Sampling, c.File)
	}
	if c.Advice.Action != advise.Pull || c.Advice.Summary == "" || c.Pictures == nil {
		t.Errorf("advice %+v, pictures %+v", c.Advice, c.Pictures)
	}
	for _, tone := range c.Noise.Tones {
		if tone.Scene != tone.Recorded-c.Placement.Stops {
			t.Errorf("a tone at %+.2f stops lies at scene %+.2f", tone.Recorded, tone.Scene)
		}
	}
}

// A folder that pictures cannot be written into leaves the clip measured.
func TestMeasureWithoutRoomForPictures(t *testing.T) {
	path, _ := recorded(t, 0)
	c, err := Measure(t.Context(), pictured(path, path))
	var pictures *PictureError
	if !errors.As(err, &pictures) || pictures.Path != path || c.Placement == nil || c.Pictures != nil {
		t.Errorf("%v, %+v", err, c.Pictures)
	}
}

func TestMeasureInterrupted(t *testing.T) {
	path, _ := recorded(t, 0)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Measure(ctx, Job{Path: path, Progress: func(float64) {}})
	if !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// A clip whose bytes cannot be looked at keeps what its stream says, with a word about it; pictures
// named by a pattern have no bytes to look at.
func TestReadOfWhatIsNotThere(t *testing.T) {
	info := decode.Info{Path: "gone.mov", Container: "mov", Transfer: "arib-std-b67", Bits: 10}
	said := read(filepath.Join(t.TempDir(), "gone.mov"), info)
	settled, err := metadata.Settle(streamOf(info), said, metadata.ReadAs{})
	if err != nil || settled.Reading.Curve.Name != "HLG" || len(said.Problems) != 1 {
		t.Errorf("%+v, %v", settled, err)
	}
	doubts := advise.Doubted(settled.Doubts)
	if len(doubts) != 1 || doubts[0].ID != advise.MetadataDamaged || doubts[0].Level != advise.Note {
		t.Errorf("doubts %+v", doubts)
	}
	info = decode.Info{Path: "shot.%04d.dpx", Container: "image sequence"}
	if said := read("shot.%04d.dpx", info); len(said.Problems) != 0 {
		t.Errorf("pictures: %q", said.Problems)
	}
}

func TestDoubtsAreFindings(t *testing.T) {
	got := advise.Doubted([]metadata.Doubt{{ID: metadata.CurveDoubt, Caution: true, Text: "a"},
		{ID: metadata.TagDoubt, Text: "b"}})
	want := []advise.Finding{{ID: advise.CurveDoubt, Level: advise.Caution, Text: "a"},
		{ID: advise.TagDoubt, Level: advise.Note, Text: "b"}}
	if len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// Errors reach people in one shape, and what stopped the program stays what it is.
func TestErrorsForPeople(t *testing.T) {
	for _, c := range []struct {
		err  error
		says string
	}{
		{&metadata.SettleError{Path: "a.mov", What: "no log curve is named", Do: "name it"},
			"no log curve is named; name it"},
		{&decode.Damage{Path: "a.mov", Lost: 3}, "not one frame could be decoded; copy it again"},
		{&decode.ClipError{Path: "a.mov", What: "the file is empty", Do: "copy it"}, "the file is empty; copy it"},
		{errFull, "its frames cannot be read (no space left); check that it plays"},
		{context.Canceled, "context canceled"},
	} {
		err := forUser("a.mov", c.err)
		if text := failureText(err); !strings.Contains(text, c.says) || !errors.Is(err, c.err) {
			t.Errorf("%v: %q", c.err, text)
		}
	}
}

// A comparison without a single take is written, and has no page.
func TestComparisonOfNothing(t *testing.T) {
	dir := t.TempDir()
	doc := report.Document{Schema: report.Schema, Failed: []report.Failure{{Path: "a.mov", Error: "the file is empty"}}}
	takes := Compare(doc, nil)
	if err := WriteComparison(dir, &doc, &takes); err != nil {
		t.Fatal(err)
	}
	if err := Show(dir, false); err != nil {
		t.Error(err)
	}
	if pages, _ := filepath.Glob(filepath.Join(dir, "*.html")); len(pages) != 1 {
		t.Errorf("pages %q", pages)
	}
}

// A clip in two parts is measured as one: all their frames, on one timeline, under the first's name.
func TestMeasureParts(t *testing.T) {
	first, truth := recorded(t, 1)
	second, _ := recorded(t, 1)
	j := pictured(first, t.TempDir())
	j.Parts = []string{first, second}
	c, err := Measure(t.Context(), j)
	if err != nil {
		t.Fatal(err)
	}
	const within = 0.05 // stops, as in TestMeasure
	if p := c.Placement; p == nil || p.Stops-truth.Placement > within || truth.Placement-p.Stops > within {
		t.Errorf("placement %+v, recorded at %+.2f", p, truth.Placement)
	}
	if c.Path != first || len(c.Parts) != 2 || c.Parts[1] != second || c.Frames != 8 || c.Sampling.FramesMeasured != 8 ||
		c.Sampling.FramesLost != 0 || c.Pictures == nil {
		t.Errorf("%s in %q: %d frames, %+v, pictures %v", c.Path, c.Parts, c.Frames, c.Sampling, c.Pictures)
	}
}
