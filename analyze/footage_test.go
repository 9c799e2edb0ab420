package analyze_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"stopledger/analyze"
	"stopledger/analyze/clipping"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode"
	"stopledger/decode/metadata"
	"stopledger/decode/synth"
	"stopledger/decode/synth/footage"
)

// The limits of clipping were set on trials with seeds below 1000. These start elsewhere.
const firstTrial = 50000

// cameraCodecs are the encodings through which trials are measured.
var cameraCodecs = []footage.Copy{
	{Path: "ffv1.mkv", Encoding: synth.Encoding{Codec: synth.FFV1}},
	{Path: "prores.mov", Encoding: synth.Encoding{Codec: synth.ProRes422}},
	{Path: "dnxhr.mov", Encoding: synth.Encoding{Codec: synth.DNxHR}},
	{Path: "hevc.mov", Encoding: synth.Encoding{Codec: synth.HEVC, Quality: 8}},
}

// A trialled is one trial measured through one codec.
type trialled struct {
	trial  footage.Trial
	truth  footage.Truth
	codec  string
	result *analyze.Result
}

// try records a trial and measures it through each codec, after what set changes in it.
func try(t *testing.T, seed uint64, set func(*footage.Trial)) (all []trialled) {
	t.Helper()
	c, err := curve.Find("S-Log3")
	if err != nil {
		t.Fatal(err)
	}
	width, height := 640, 360
	if os.Getenv("STOPLEDGER_FULL") == "" {
		width, height = 384, 216 // everyday: quicker
	}
	trial := footage.NewTrial(seed, width, height, c)
	trial.Shot.Frames = 16
	set(&trial)
	dir := t.TempDir()
	copies := make([]footage.Copy, len(cameraCodecs))
	for i, one := range cameraCodecs {
		copies[i] = footage.Copy{Path: filepath.Join(dir, one.Path), Encoding: one.Encoding}
	}
	truth, err := footage.Record(trial.Camera, trial.Shot, copies...)
	if err != nil {
		t.Fatal(err)
	}
	how := metadata.Settled{Reading: trial.Camera.Record.Reading(), Matrix: trial.Camera.Record.Matrix}
	for i, one := range copies {
		clip, err := decode.Open(one.Path)
		if err != nil {
			t.Fatal(err)
		}
		set := analyze.Settings{Threads: 2, GreyFrom: placement.GreyFrom{Grey: placement.Scene, Reflectance: curve.MidGrey}}
		r, err := analyze.Clip(t.Context(), clip, how, set, nil)
		clip.Close()
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, trialled{trial, truth, cameraCodecs[i].Path, r})
	}
	return all
}

// Tolerances of what clips on footage, as they are asked for: codes of the 10-bit scale and shares
// of the frame.
const (
	ceilingOff = 3
	shareOff   = 0.02
	largeField = 0.02
)

// A clippedTally counts what was said of trials of one codec.
type clippedTally struct {
	// fields over largeField; found at their code; with their share; said not to clip
	fields, ceiling, share, never       int
	unclipped, invented, undecidedThere int
}

func (n *clippedTally) add(t *testing.T, one trialled) {
	t.Helper()
	h, truth := one.result.Clipping, one.truth
	said := float64(h.Clipped.Any)
	name := fmt.Sprintf("%s %s ceilings %.0f", one.codec, one.trial.Kind, truth.Ceilings)
	switch any := float64(truth.Clipped.Any); {
	case any > largeField:
		n.fields++
		first := math.Inf(1)
		for i, share := range []curve.Share{truth.Clipped.R, truth.Clipped.G, truth.Clipped.B} {
			if share > largeField {
				first = min(first, float64(truth.Ceilings[i]))
			}
		}
		if h.Ceiling.Origin == clipping.Measured && math.Abs(float64(h.Ceiling.Code)-first) <= ceilingOff {
			n.ceiling++
		} else {
			t.Logf("%s: ceiling %s of %v, want %.0f", name, h.Ceiling.Code, h.Ceiling.Origin, first)
		}
		if math.Abs(said-any) <= shareOff {
			n.share++
		} else {
			t.Logf("%s: %.3f of the frame clips, want %.3f", name, said, any)
		}
		if said < 0.001 && !h.Undecided {
			n.never++
			t.Logf("%s: nothing is said to clip, and %.3f does", name, any)
		}
	case any == 0:
		n.unclipped++
		if said > 0.001 {
			n.invented++
			t.Logf("%s: %.3f is said to clip, and nothing does", name, said)
		} else if h.Undecided {
			n.undecidedThere++
		}
	}
}

// Fields that clip anywhere from 3.5 to 6 stops over nominal are found through every codec at
// their level and with their share, and none is invented. Two trials of three are exposed three
// stops more, so that their windows and skies clip.
func TestClippedFieldsOfFootage(t *testing.T) {
	seeds := []uint64{firstTrial + 1, firstTrial + 6, firstTrial + 12} // a sky that holds, a window, a sky
	if os.Getenv("STOPLEDGER_FULL") != "" {
		for i := range uint64(200) {
			seeds = append(seeds, firstTrial+100+i)
		}
	} else if testing.Short() {
		t.Skip("renders and encodes footage")
	}
	tallies := map[string]*clippedTally{}
	fields := 0
	for _, seed := range seeds {
		over := curve.Stops(3)
		if seed%3 == 0 {
			over = 0
		}
		for _, one := range try(t, seed, func(f *footage.Trial) { f.Shot.Stops += over }) {
			if tallies[one.codec] == nil {
				tallies[one.codec] = &clippedTally{}
			}
			tallies[one.codec].add(t, one)
			fields += tallies[one.codec].fields
		}
	}
	if fields == 0 {
		t.Error("nothing clips in any trial: there is nothing to judge by")
	}
	for codec, n := range tallies {
		t.Logf("%s: %d fields over %.2f, ceiling %d, share %d, never seen %d; %d unclipped, invented %d, undecided %d",
			codec, n.fields, largeField, n.ceiling, n.share, n.never, n.unclipped, n.invented, n.undecidedThere)
		most := max(n.fields/20, 1) // five in a hundred may be off, one where there are few
		if n.fields-n.ceiling > most || n.fields-n.share > most || 100*n.invented > n.unclipped || n.never > 0 {
			t.Errorf("%s: %+v", codec, *n)
		}
	}
}
