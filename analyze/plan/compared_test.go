package plan

import (
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
)

// isoTake is a take at an ISO and a placement whose noise in light grows with gain, or shrinks for it.
func isoTake(iso int, grey, light curve.Stops, read curve.Light) Take {
	model := &noise.Model{Read: read, Shot: 1e-6, ReadError: read / 200, ShotError: 1e-8,
		DarkError: curve.Ratio(read * read / 100)}
	return Take{ISO: iso, Light: light, Placement: &placement.Placement{Stops: grey, Method: placement.Card},
		Noise:    &noise.Result{Model: model, Recorded: model, Coding: noise.Coding{Origin: noise.Lossless}},
		Clipping: &clipping.Result{Ceiling: clipping.Ceiling{Recorded: 6, Origin: clipping.Measured}}}
}

// At the same light two stops of ISO leave the shadows as they were where noise grows with gain, and take two
// stops of highlights; a second base ISO cleans the shadows; other light is told from ISO.
func TestISOAlone(t *testing.T) {
	unknown := curve.Unknown[curve.Stops]()
	for name, c := range map[string]struct {
		takes []Take
		same  bool
		by    string
		says  string
	}{
		"settings": {[]Take{isoTake(800, 0, 5, 1e-3), isoTake(3200, 2, 5, 4e-3)}, true, "settings", "as noisy as before"},
		"grey": {[]Take{isoTake(800, 0, unknown, 1e-3), isoTake(3200, 2.05, unknown, 4.1e-3)}, true, "grey",
			"4.0 stops over grey instead of 6.0 stops"},
		"base":    {[]Take{isoTake(800, -4, 5, 1e-3), isoTake(12800, 0, 5, 1e-3)}, true, "settings", "change by +24 dB"},
		"light":   {[]Take{isoTake(800, 0, 5, 1e-3), isoTake(3200, 1, 4, 2e-3)}, false, "settings", "not ISO's alone"},
		"nothing": {[]Take{isoTake(800, unknown, unknown, 1e-3), isoTake(3200, 1, unknown, 2e-3)}, false, "", "not known"},
	} {
		got := Compare(c.takes)
		if got == nil || got.SameLight != c.same || got.By != c.by || !strings.Contains(got.Text, c.says) {
			t.Errorf("%s: %+v", name, got)
		}
	}
	if Compare([]Take{isoTake(800, 0, 5, 1e-3), isoTake(800, 1, 6, 1e-3)}) != nil ||
		Compare([]Take{isoTake(0, 0, 5, 1e-3), isoTake(800, 1, 6, 1e-3)}) != nil {
		t.Error("takes of one ISO, or of none that is known, are told apart by ISO")
	}
}
