package metadata_test

import (
	"path/filepath"
	"strings"
	"testing"

	"stopledger/decode/metadata"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
)

// An assumption holds where a clip names no curve, and is told to be one.
func TestAssumedCurve(t *testing.T) {
	dir := t.TempDir()
	silent, named, film := filepath.Join(dir, "silent.mp4"), filepath.Join(dir, "named.mp4"), filepath.Join(dir,
		"film.mp4")
	for _, path := range []string{silent, named, film} {
		take{curve: "V-Log"}.record(t, path)
	}
	build.AddMeta("s-log3")(t, named)
	build.AddMeta("s-cinetone")(t, film)
	got := settled(t, film, assuming(t, "vlog"))
	const against = "--assume makes it V-Log, but the clip's XML says a curve that is not log"
	if d := doubt(got, metadata.CurveDoubt); !got.Assumed || !d.Caution || !strings.Contains(d.Text, against) {
		t.Errorf("film look: %+v", got)
	}
	got = settled(t, named, assuming(t, "vlog"))
	if got.Assumed || got.Reading.Curve.Name != "S-Log3" || got.CurveOrigin != metadata.OriginClipXML {
		t.Errorf("named in the clip: %+v", got)
	}
	got = settled(t, silent, assuming(t, "vlog"))
	if !got.Assumed || got.Reading.Curve.Name != "V-Log" || got.CurveOrigin != metadata.OriginAssumed ||
		len(got.Doubts) > 0 {
		t.Errorf("silent: %+v", got)
	}
	if got = settled(t, silent, as(t, "vlog", 0)); got.Assumed {
		t.Error("a named curve is told to be assumed")
	}
}

// A flag is obeyed, and doubted where the clip says otherwise.
func TestFlagAgainstMetadata(t *testing.T) {
	keys := map[string]string{"com.atomos.hdr.gamma": "SLog3"}
	path := take{curve: "S-Log3", how: synth.Encoding{Metadata: keys}}.file(t, "a.mov")
	for _, c := range []struct {
		curve string
		doubt string // "" for none
	}{
		{"slog3", ""},
		{"slog2", "--curve makes it S-Log2, but a key of the container says S-Log3"},
		{"vlog", "--curve makes it V-Log, but"},
	} {
		got := settled(t, path, as(t, c.curve, 0))
		d := doubt(got, metadata.CurveDoubt)
		if got.CurveOrigin != metadata.OriginFlag || d.Caution != (c.doubt != "") || !strings.Contains(d.Text, c.doubt) {
			t.Errorf("%s: from %s, doubt %+v", c.curve, got.CurveOrigin, d)
		}
	}
}

// LogC3 is read at the exposure index of the flag, else of the metadata, else at the usual one with
// a word of doubt.
func TestExposureIndex(t *testing.T) {
	camera := map[string]string{"com.arri.camera.ColorGammaSxS": "LOG-C", "com.arri.camera.CameraModel": "ALEXA Mini"}
	at1600 := map[string]string{"com.arri.camera.ExposureIndexAsa": "1600"}
	for k, v := range camera {
		at1600[k] = v
	}
	said := take{curve: "LogC3 EI1600", how: synth.Encoding{Metadata: at1600}}.file(t, "said.mov")
	unsaid := take{curve: "LogC3 EI1600", how: synth.Encoding{Metadata: camera}}.file(t, "unsaid.mov")
	other := take{curve: "S-Log3", how: synth.Encoding{Metadata: map[string]string{"com.atomos.hdr.gamma": "SLog3"}}}.
		file(t, "other.mov")
	for _, c := range []struct {
		asked metadata.ReadAs
		path  string
		name  string
		index int
		doubt string
	}{
		{metadata.ReadAs{}, said, "LogC3 EI1600", 1600, ""},
		{as(t, "logc3", 0), said, "LogC3 EI1600", 1600, ""},
		{metadata.ReadAs{Index: 400}, said, "LogC3 EI400", 400,
			"--ei makes it LogC3 EI400, but a key of the container says LogC3"},
		{as(t, "logc3", 400), said, "LogC3 EI400", 400, "--curve makes it LogC3 EI400, but"},
		{metadata.ReadAs{}, unsaid, "LogC3", 800, "read at 800; --ei names another"},
		{metadata.ReadAs{Index: 1600}, unsaid, "LogC3 EI1600", 1600, ""},
		{metadata.ReadAs{Index: 800}, other, "S-Log3", 0, "--ei 800 changes nothing here: S-Log3 is the same"},
		{metadata.ReadAs{Index: 800, IndexBy: metadata.OriginConfig}, other, "S-Log3", 0, ""},
		{as(t, "logc3ei1600", 0), unsaid, "LogC3 EI1600", 1600, ""},
	} {
		got := settled(t, c.path, c.asked)
		d := doubt(got, metadata.CurveDoubt)
		if d.Text == "" {
			d = doubt(got, metadata.IndexUnused)
		}
		if name := got.Reading.Curve.Name; name != c.name || got.Reading.Curve.Index != c.index {
			t.Errorf("%+v %s: %s at %d", c.asked, filepath.Base(c.path), name, got.Reading.Curve.Index)
		}
		if (d.Text != "") != (c.doubt != "") || !strings.Contains(d.Text, c.doubt) {
			t.Errorf("%+v %s: doubt %+v", c.asked, filepath.Base(c.path), d)
		}
	}
}

// A clip whose bytes cannot be looked at keeps what its stream says.
func TestUnreadableMetadata(t *testing.T) {
	gone := filepath.Join(t.TempDir(), "gone.mov")
	stream := metadata.Stream{Path: "gone.mov", Bits: 10}
	of := func(transfer string) metadata.Record {
		rec, err := metadata.Read(gone, metadata.Hints{Container: "mov", Transfer: transfer})
		if err == nil {
			t.Fatal("a file that is not there can be read")
		}
		rec.Problems = append(rec.Problems, err.Error())
		return rec
	}
	got, err := metadata.Settle(stream, of("arib-std-b67"), metadata.ReadAs{})
	if err != nil || got.Reading.Curve.Name != "HLG" || len(got.Doubts) != 1 ||
		got.Doubts[0].ID != metadata.MetadataDamaged {
		t.Errorf("%+v, %v", got, err)
	}
	_, err = metadata.Settle(stream, of(""), metadata.ReadAs{})
	if err == nil || !strings.Contains(err.Error(), "could not be read") || !strings.Contains(err.Error(), "--curve") {
		t.Error(err)
	}
}
