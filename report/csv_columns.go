package report

import (
	"strconv"
	"strings"
)

// A CSVColumn is one column of the CSV: its head and what stands in it.
type CSVColumn struct {
	Head string
	Doc  string

	value func(Clip) string
}

// CSVColumns are the columns of WriteCSV, in order. Names and order last as those of the JSON
// do: columns may be added at the end, none is renamed. A number that was not measured is an
// empty cell; numbers are rounded as in the JSON, with a point as decimal mark and no unit: the
// head names it.
var CSVColumns = []CSVColumn{
	{"path", "the clip as given", func(c Clip) string { return cellText(c.Path) }},
	{"status", "measured or failed", func(Clip) string { return "measured" }},
	{"error", "why it could not be measured", func(Clip) string { return "" }},
	{"needs_person", "yes where a finding is at level alarm", func(c Clip) string { return yesNo(NeedsPerson(c)) }},
	{"action", "pull, lift or hold, as advised", func(c Clip) string { return cellText(c.Advice.Action) }},
	{"action_stops", "how far", func(c Clip) string { return cellNumber("stops", &c.Advice.Stops) }},
	{"placement_stops", "grey over nominal, stops", onPlacement(func(p *Placement) string { return cellNumber("stops", &p.Stops) })},
	{"placement_low_stops", "lower end of its 95 % interval", onPlacement(func(p *Placement) string { return cellNumber("low", &p.Low) })},
	{"placement_high_stops", "upper end", onPlacement(func(p *Placement) string { return cellNumber("high", &p.High) })},
	{"placement_method", "region, card, chart, face or scene", onPlacement(func(p *Placement) string { return cellText(p.Method) })},
	{"placement_weak", "yes where it is no ground for a pull by itself", onPlacement(func(p *Placement) string { return yesNo(p.Weak) })},
	{"placement_carried_from", "the take whose grey was carried over", onPlacement(func(p *Placement) string { return cellText(p.Carried) })},
	{"grey_code", "where grey, or the patch taken for it, was recorded, 10-bit code", onPlacement(func(p *Placement) string { return cellNumber("code", &p.Code) })},
	{"grey_percent", "the same as video level, percent", onPlacement(func(p *Placement) string { return cellNumber("percent", &p.Percent) })},
	{"drift_stops", "grey at the end less at the start", onPlacement(func(p *Placement) string { return cellNumber("drift_stops", p.DriftStops) })},
	{"floor_stops", "recorded stops where signal and noise are equal", onNoise("floor_stops", func(c Clip) *float64 { return c.Noise.FloorStops })},
	{"noise_suppressed", "yes where the recording hides the camera's noise; then no figure of noise is given", func(c Clip) string { return yesNo(c.Noise.Suppressed) }},
	{"snr_db", "at scene -4 stops after the correction", onNoise("snr_db", func(c Clip) *float64 { return c.Advice.After.SNR })},
	{"nominal_snr_db", "the same had grey been placed at nominal", onNoise("nominal_snr_db", func(c Clip) *float64 { return c.Advice.After.NominalSNR })},
	{"gain_db", "the difference", onNoise("gain_db", func(c Clip) *float64 { return c.Advice.After.GainDB })},
	{"ceiling_code", "where the recording clips, 10-bit code", func(c Clip) string { return cellNumber("code", &c.Highlights.Ceiling.Code) }},
	{"ceiling_percent", "the same as video level, percent", func(c Clip) string { return cellNumber("percent", &c.Highlights.Ceiling.Percent) }},
	{"ceiling_stops", "the same in recorded stops", func(c Clip) string { return cellNumber("recorded_stops", &c.Highlights.Ceiling.RecordedStops) }},
	{"ceiling_origin", "measured, or the curve's", func(c Clip) string { return cellText(c.Highlights.Ceiling.Origin) }},
	{"headroom_stops", "from the brightest content to the ceiling; empty when a field of the frame clips", func(c Clip) string { return cellNumber("headroom_stops", c.Highlights.Headroom) }},
	{"clipped_r", "share of the frame where red clips, 0..1", func(c Clip) string { return cellNumber("r", &c.Highlights.Clipped.R) }},
	{"clipped_g", "green", func(c Clip) string { return cellNumber("g", &c.Highlights.Clipped.G) }},
	{"clipped_b", "blue", func(c Clip) string { return cellNumber("b", &c.Highlights.Clipped.B) }},
	{"clipped_any", "any of them", func(c Clip) string { return cellNumber("any", &c.Highlights.Clipped.Any) }},
	{"clipped_all", "all of them", func(c Clip) string { return cellNumber("all", &c.Highlights.Clipped.All) }},
	{"next_take_stops", "exposure change for the next take; + opens up", func(c Clip) string { return cellNumber("stops", c.Advice.Next.Stops) }},
	{"next_take_zebra_percent", "where grey should then read", func(c Clip) string { return cellNumber("zebra_percent", c.Advice.Next.Zebra) }},
	{"curve", "the curve the clip was read with", func(c Clip) string { return cellText(c.Curve.Name) }},
	{"curve_origin", "where its name is from", func(c Clip) string { return cellText(c.Curve.Origin) }},
	{"range", "narrow or full", func(c Clip) string { return cellText(c.Range.Value) }},
	{"matrix", "bt601, bt709 or bt2020", func(c Clip) string { return cellText(c.Matrix.Value) }},
	{"container", "mov, mxf, mp4 ...", func(c Clip) string { return cellText(c.Container) }},
	{"codec", "as coded", func(c Clip) string { return cellText(c.Codec) }},
	{"profile", "of the codec", func(c Clip) string { return cellText(c.Profile) }},
	{"bits", "of one component", func(c Clip) string { return strconv.Itoa(c.Bits) }},
	{"width", "pixels", func(c Clip) string { return strconv.Itoa(c.Width) }},
	{"height", "pixels", func(c Clip) string { return strconv.Itoa(c.Height) }},
	{"frame_rate", "frames a second", func(c Clip) string { return cellNumber("frame_rate", &c.FrameRate) }},
	{"duration_s", "seconds", func(c Clip) string { return cellNumber("duration_s", &c.DurationS) }},
	{"timecode", "of the first frame", func(c Clip) string { return cellText(c.Timecode) }},
	{"iso", "as the recording says", onCamera(func(m *Camera) *float64 { return m.ISO })},
	{"exposure_index", "as the recording says", onCamera(func(m *Camera) *float64 { return m.ExposureIndex })},
	{"shutter_s", "as the recording says", onCamera(func(m *Camera) *float64 { return m.ShutterS })},
	{"iris_f", "as the recording says", onCamera(func(m *Camera) *float64 { return m.IrisF })},
	{"white_balance_k", "as the recording says", onCamera(func(m *Camera) *float64 { return m.WhiteBalanceK })},
	{"findings", "their ids, separated by spaces", func(c Clip) string { return cellText(findingIDs(c)) }},
	{"verdict", "in words", func(c Clip) string { return cellText(Verdict(c)) }},
}

func onPlacement(value func(*Placement) string) func(Clip) string {
	return func(c Clip) string {
		if c.Placement == nil {
			return ""
		}
		return value(c.Placement)
	}
}

// onNoise leaves a figure of noise out where the recording hides the camera's: it would flatter.
func onNoise(name string, value func(Clip) *float64) func(Clip) string {
	return func(c Clip) string {
		if c.Noise.Suppressed {
			return ""
		}
		return cellNumber(name, value(c))
	}
}

func onCamera(value func(*Camera) *float64) func(Clip) string {
	return func(c Clip) string {
		if c.Camera == nil {
			return ""
		}
		return cellNumber("shutter_s", value(c.Camera))
	}
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

func findingIDs(c Clip) string {
	ids := make([]string, len(c.Advice.Findings))
	for i, f := range c.Advice.Findings {
		ids[i] = f.ID
	}
	return strings.Join(ids, " ")
}
