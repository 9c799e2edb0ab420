package text

import (
	"fmt"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// SettingHeads are the heads of SettingRows.
var SettingHeads = []string{"take", "ISO", "shutter", "iris", "ND"}

// SettingRows returns the camera settings of takes, a row each; none where no take says any.
func SettingRows(c *report.Comparison) (rows [][]string) {
	said := false
	for i := range c.Clips {
		row := append([]string{advise.Letter(i)}, cameraSettings(c.Clips[i].Camera)...)
		said = said || strings.Join(row[1:], "") != strings.Repeat(curve.Absent, len(row)-1)
		rows = append(rows, row)
	}
	if !said {
		return nil
	}
	return rows
}

// cameraSettings are ISO, shutter, iris and ND.
func cameraSettings(m *metadata.Camera) []string {
	iso, shutter, iris, nd := curve.Absent, curve.Absent, curve.Absent, curve.Absent
	if m == nil {
		return []string{iso, shutter, iris, nd}
	}
	if v := m.Speed(); v > 0 {
		iso = fmt.Sprint(v)
	}
	switch {
	case m.ShutterS != nil && *m.ShutterS > 0 && *m.ShutterS < 0.5:
		shutter = fmt.Sprintf("1/%.0f s", 1/float64(*m.ShutterS))
	case m.ShutterS != nil:
		shutter = Plain(*m.ShutterS) + " s"
	case m.ShutterAngleDeg != nil:
		shutter = Plain(*m.ShutterAngleDeg) + "°"
	}
	switch {
	case m.IrisT != nil:
		iris = "T" + Number(*m.IrisT, 1, "")
	case m.IrisF != nil:
		iris = "f/" + Number(*m.IrisF, 1, "")
	}
	if m.NDStops != nil {
		nd = Number(*m.NDStops, 1, " stops")
	}
	return []string{iso, shutter, iris, nd}
}

// LadderHeads are the heads of LadderRows.
var LadderHeads = []string{"take", "ISO", "grey", "SNR 4 stops under grey", "95 % interval",
	"ceiling from grey", "more light"}

// LadderRows returns takes of an ISO ladder, a row each; none of fewer than three.
func LadderRows(c *report.Comparison) (rows [][]string) {
	if c.ISO == nil || len(c.ISO.Takes) < 3 {
		return nil
	}
	for i, t := range c.ISO.Takes {
		interval := curve.Absent
		if curve.Finite(t.Low) && curve.Finite(t.High) {
			interval = Number(t.Low, 1, "") + " to " + Number(t.High, 1, " dB")
		}
		rows = append(rows, []string{advise.Letter(i), fmt.Sprint(t.ISO), Signed(t.Placement, 1, ""), Number(t.SNR, 1, " dB"),
			interval, Signed(t.Ceiling, 1, ""), Signed(t.Light, 1, "")})
	}
	return rows
}

// isoText is what is said of settings and ISO before takes are set side by side.
func isoText(c *report.Comparison, layout Layout) string {
	text := ""
	for _, t := range []struct {
		heads []string
		rows  [][]string
	}{{SettingHeads, SettingRows(c)}, {LadderHeads, LadderRows(c)}} {
		if len(t.rows) == 0 {
			continue
		}
		var table Table
		for i, h := range t.heads {
			table = append(table, Column{Head: h, Left: i == 0})
		}
		text += table.Text(t.rows) + "\n"
	}
	if c.ISO != nil {
		text += Wrap(c.ISO.Text, "", layout.Width) + "\n"
	}
	return text
}
