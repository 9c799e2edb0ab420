package text

import (
	"bytes"
	"strings"
	"testing"

	"stopledger/analyze/plan"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// Camera settings head the comparison; a ladder of three ISOs has a table, and what ISO did is said.
func TestISOsOfTakes(t *testing.T) {
	setting := func(v metadata.Setting) *metadata.Setting { return &v }
	shutter, nd := curve.Seconds(0.02), curve.Stops(1.8)
	c := &report.Comparison{ISO: &plan.Compared{Text: "Gain alone did it.", SameLight: true}}
	for _, iso := range []int{800, 1600, 3200} {
		camera := &metadata.Camera{ISO: setting(metadata.Setting(iso)), ShutterS: &shutter, IrisF: setting(2.8), NDStops: &nd}
		c.Clips = append(c.Clips, report.Clip{Camera: camera})
		c.ISO.Takes = append(c.ISO.Takes, plan.AtISO{ISO: iso, Placement: 1, SNR: 20, Low: 19, High: 21, Ceiling: 5})
	}
	var b bytes.Buffer
	if err := WriteComparison(&b, c, Layout{}); err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"1/50 s", "f/2.8", "1.8 stops", "3200", "Gain alone did it.", "19.0 to 21.0 dB"} {
		if !strings.Contains(b.String(), part) {
			t.Errorf("it does not say %q:\n%s", part, b.String())
		}
	}
	c.Clips, c.ISO = []report.Clip{{}, {Camera: &metadata.Camera{}}}, nil
	if SettingRows(c) != nil || LadderRows(c) != nil {
		t.Error("takes that say nothing have rows")
	}
}
