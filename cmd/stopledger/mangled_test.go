package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/cmd/internal/disturb"
	"stopledger/decode/metadata/build"
	"stopledger/decode/synth"
)

// Clips with wrong bytes in them are measured or fail in one line; nothing breaks. Seeds are fixed;
// STOPLEDGER_FULL=1 tries over a hundred times as many.
func TestMangledClips(t *testing.T) {
	rounds := 12
	if os.Getenv("STOPLEDGER_FULL") != "" {
		rounds *= 125
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
			damaged, kind := disturb.Mangled(whole, whole, uint64(seed))
			build.WriteFile(t, path, damaged)
			doc, code, stderr := audited(t, path)
			switch {
			case strings.Contains(stderr, "the program broke"):
				t.Errorf("%s, seed %d, %s: %s", name, seed, kind, stderr)
			case code == exitMeasured && len(doc.Clips) == 1 && stderr == "":
				measured++
			case code == exitSomeFailed && len(doc.Failed) == 1 && strings.Count(stderr, "\n") == 1:
			default:
				t.Errorf("%s, seed %d, %s: exit code %d, %d clips, %s", name, seed, kind, code, len(doc.Clips), stderr)
			}
		}
		if measured == 0 || measured == rounds {
			t.Errorf("%s: %d of %d were measured: too much or too little is wrong with them", name, measured, rounds)
		}
	}
}
