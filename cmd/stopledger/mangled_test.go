package main

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
)

// Clips with wrong bytes in them are measured or fail in one line; nothing breaks. Seeds are fixed;
// STOPLEDGER_FULL=1 tries fifty times as many.
func TestMangledClips(t *testing.T) {
	rounds := 30
	if os.Getenv("STOPLEDGER_FULL") != "" {
		rounds *= 50
	}
	larger := func(c *synth.Camera) { c.Width, c.Height = 256, 128 }
	for name, c := range map[string]struct {
		take take
		add  func(*testing.T, string)
	}{
		"a.mp4": {take{curve: "S-Log3"}, build.AddAll(build.AddTrack, build.AddMeta("s-log3"))},
		"a.mov": {take{curve: "S-Log3", how: synth.Encoding{Codec: synth.ProRes422,
			Metadata: map[string]string{"com.atomos.hdr.gamma": "SLog3"}}}, build.AddTrack},
		"a.mkv": {take{curve: "S-Log3", how: synth.Encoding{Codec: synth.FFV1,
			Metadata: map[string]string{"com.atomos.hdr.gamma": "SLog3"}}}, nil},
		"a.mxf": {take{curve: "S-Log3", how: synth.Encoding{Codec: synth.DNxHR, Transfer: "arib-std-b67",
			Primaries: "bt2020"}, change: larger}, build.AddDescriptor},
	} {
		path := filepath.Join(t.TempDir(), name)
		c.take.record(t, path)
		if c.add != nil {
			c.add(t, path)
		}
		whole := build.ReadFile(t, path)
		measured := 0
		for seed := range rounds {
			build.WriteFile(t, path, mangled(whole, uint64(seed)))
			doc, code, stderr := audited(t, path)
			switch {
			case strings.Contains(stderr, "the program broke"):
				t.Errorf("%s, seed %d: %s", name, seed, stderr)
			case code == exitMeasured && len(doc.Clips) == 1 && stderr == "":
				measured++
			case code == exitSomeFailed && len(doc.Failed) == 1 && strings.Count(stderr, "\n") == 1:
			default:
				t.Errorf("%s, seed %d: exit code %d, %d clips, %s", name, seed, code, len(doc.Clips), stderr)
			}
		}
		if measured == 0 || measured == rounds {
			t.Errorf("%s: %d of %d were measured: too much or too little is wrong with them", name, measured, rounds)
		}
	}
}

// mangled returns a copy of a file with a few bytes changed: near its ends, where containers keep
// what they say of themselves, or anywhere.
func mangled(file []byte, seed uint64) []byte {
	rng := rand.New(rand.NewPCG(seed, 1))
	out := append([]byte{}, file...)
	const ends = 4096
	for range 1 + rng.IntN(12) {
		at := rng.IntN(len(out))
		switch near := min(ends, len(out)); rng.IntN(3) {
		case 0:
			at = rng.IntN(near)
		case 1:
			at = len(out) - 1 - rng.IntN(near)
		}
		out[at] = byte(rng.Uint32())
	}
	return out
}
