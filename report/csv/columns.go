package csv

import (
	"strings"

	"stopledger/analyze/advise"
	"stopledger/analyze/placement"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// A Column is one column of an audit's table.
type Column struct {
	Head string // its name
	Doc  string // what stands in it, a sentence's worth

	value func(*clip) any // a quantity, a word, a whole number, yes or no; nil for an empty cell
}

type (
	clip      = report.Clip
	grey      = placement.Placement
	camera    = metadata.Camera
	onDisplay = advise.OnDisplay
)

// Columns are the columns of WriteAudit, in order. Names and order last as those of the JSON
// do: columns may be added at the end, none is renamed. A number that was not measured is an
// empty cell; numbers are rounded as in the JSON, with a point as decimal mark and no unit: the
// head names it.
var Columns = join(clipColumns, greyColumns, noiseColumns, highlightColumns, adviceColumns, fileColumns,
	cameraColumns, lastColumns, intervalColumns)

func join(lists ...[]Column) (all []Column) {
	for _, list := range lists {
		all = append(all, list...)
	}
	return all
}

var clipColumns = []Column{
	{"path", "the clip as given", func(c *clip) any { return c.Path }},
	{"status", "measured or failed", func(*clip) any { return "measured" }},
	{"error", "why it could not be measured", func(*clip) any { return "" }},
	{"needs_person", "yes where a finding is at level alarm", func(c *clip) any { return c.Advice.NeedsPerson() }},
	{"action", "pull, lift, hold or none, as advised", func(c *clip) any { return c.Advice.Action }},
	{"action_stops", "how far", func(c *clip) any { return c.Advice.Stops }},
}

var greyColumns = []Column{
	{"placement_stops", "grey over nominal, stops", ofGrey(func(p *grey) any { return p.Stops })},
	{"placement_low_stops", "lower end of its 95 % interval", ofGrey(func(p *grey) any { return p.Low })},
	{"placement_high_stops", "upper end", ofGrey(func(p *grey) any { return p.High })},
	{"placement_method", "region, card, chart, face or scene", ofGrey(func(p *grey) any { return p.Method })},
	{"placement_weak", "yes where it is no ground for a pull by itself", ofGrey(func(p *grey) any { return p.Weak })},
	{"placement_carried_from", "the take whose grey was carried over",
		ofGrey(func(p *grey) any { return p.Carried })},
	{"grey_code", "where grey, or the patch taken for it, was recorded, 10-bit code",
		ofGrey(func(p *grey) any { return p.Code })},
	{"grey_percent", "the same as video level, percent", ofGrey(func(p *grey) any { return p.Percent })},
	{"drift_stops", "grey at the end less at the start", ofGrey(func(p *grey) any { return p.Drift })},
}

// ofGrey leaves the cell empty where no grey was found.
func ofGrey(value func(*grey) any) func(*clip) any {
	return func(c *clip) any {
		if c.Placement == nil {
			return nil
		}
		return value(c.Placement)
	}
}

var noiseColumns = []Column{
	{"floor_stops", "recorded stops where signal and noise are equal",
		ofNoise(func(c *clip) any { return c.Noise.Floor })},
	{"noise_suppressed", "yes where the recording hides the camera's noise; then no figure of noise is given",
		func(c *clip) any { return c.Noise.Suppressed }},
	{"snr_db", "at scene -4 stops after the correction", ofNoise(func(c *clip) any { return c.Advice.After.SNR })},
	{"nominal_snr_db", "the same had grey been placed at nominal",
		ofNoise(func(c *clip) any { return c.Advice.After.Nominal })},
	{"gain_db", "the difference", ofNoise(func(c *clip) any { return c.Advice.After.Gain })},
}

// ofNoise leaves a figure of noise out where the recording hides the camera's: it would flatter.
func ofNoise(value func(*clip) any) func(*clip) any {
	return func(c *clip) any {
		if c.Noise.Suppressed {
			return nil
		}
		return value(c)
	}
}

var highlightColumns = []Column{
	{"ceiling_code", "where the recording clips, 10-bit code",
		func(c *clip) any { return c.Highlights.Ceiling.Code }},
	{"ceiling_percent", "the same as video level, percent",
		func(c *clip) any { return c.Highlights.Ceiling.Percent }},
	{"ceiling_stops", "the same in recorded stops", func(c *clip) any { return c.Highlights.Ceiling.Recorded }},
	{"ceiling_origin", "measured, a shoulder where the recording rolls off, or the curve's",
		func(c *clip) any { return c.Highlights.Ceiling.Origin }},
	{"headroom_stops", "from the brightest content to the ceiling; empty when a field of the frame clips",
		func(c *clip) any { return c.Highlights.Headroom }},
	{"clipped_r", "share of the frame where red clips, 0..1", func(c *clip) any { return c.Highlights.Clipped.R }},
	{"clipped_g", "green", func(c *clip) any { return c.Highlights.Clipped.G }},
	{"clipped_b", "blue", func(c *clip) any { return c.Highlights.Clipped.B }},
	{"clipped_any", "any of them", func(c *clip) any { return c.Highlights.Clipped.Any }},
	{"clipped_all", "all of them", func(c *clip) any { return c.Highlights.Clipped.All }},
}

var adviceColumns = []Column{
	{"next_take_stops", "exposure change for the next take; + opens up",
		func(c *clip) any { return c.Advice.Next.Stops }},
	{"next_take_zebra_percent", "where grey should then read", func(c *clip) any { return c.Advice.Next.Zebra }},
}

var fileColumns = []Column{
	{"curve", "the curve the clip was read with", func(c *clip) any { return c.Curve.Name }},
	{"curve_origin", "where its name is from", func(c *clip) any { return c.Curve.Origin }},
	{"range", "narrow or full", func(c *clip) any { return c.Range.Value }},
	{"matrix", "bt601, bt709 or bt2020", func(c *clip) any { return c.Matrix.Value }},
	{"container", "mov, mxf, mp4 ...", func(c *clip) any { return c.Container }},
	{"codec", "as coded", func(c *clip) any { return c.Codec }},
	{"profile", "of the codec", func(c *clip) any { return c.Profile }},
	{"bits", "of one component", func(c *clip) any { return c.Bits }},
	{"width", "pixels", func(c *clip) any { return c.Width }},
	{"height", "pixels", func(c *clip) any { return c.Height }},
	{"frame_rate", "frames a second", func(c *clip) any { return c.FrameRate }},
	{"duration_s", "seconds", func(c *clip) any { return c.Duration }},
	{"timecode", "of the first frame", func(c *clip) any { return c.Timecode }},
}

var cameraColumns = []Column{
	{"iso", "as the recording says", ofCamera(func(m *camera) any { return m.ISO })},
	{"exposure_index", "as the recording says", ofCamera(func(m *camera) any { return m.ExposureIndex })},
	{"shutter_s", "as the recording says", ofCamera(func(m *camera) any { return m.ShutterS })},
	{"iris_f", "as the recording says", ofCamera(func(m *camera) any { return m.IrisF })},
	{"white_balance_k", "as the recording says", ofCamera(func(m *camera) any { return m.WhiteBalanceK })},
}

// ofCamera leaves the cell empty where the recording says nothing of its camera.
func ofCamera(value func(*camera) any) func(*clip) any {
	return func(c *clip) any {
		if c.Camera == nil {
			return nil
		}
		return value(c.Camera)
	}
}

var lastColumns = []Column{
	{"findings", "their ids, separated by spaces", func(c *clip) any { return findingIDs(c) }},
	{"verdict", "in words", func(c *clip) any { return c.Advice.Summary }},
}

// intervalColumns came with schema 2 of the document.
var intervalColumns = []Column{
	{"offset_stops", "exposure change to apply, - for a pull; empty for none",
		func(c *clip) any { return c.Advice.Offset }},
	{"offset_low_stops", "lower end of the 95 % interval of the target less the placement",
		func(c *clip) any { return c.Advice.Low }},
	{"offset_high_stops", "upper end", func(c *clip) any { return c.Advice.High }},
	{"placement_reading_error_stops", "half of the placement's interval that measuring leaves open",
		ofGrey(func(p *grey) any { return p.Reading })},
	{"placement_reference_error_stops", "half that not knowing the card, chart or face better does",
		ofGrey(func(p *grey) any { return p.Reference })},
	{"snr_low_db", "lower end of the 95 % interval of snr_db", ofNoise(func(c *clip) any { return c.Advice.After.Low })},
	{"snr_high_db", "upper end", ofNoise(func(c *clip) any { return c.Advice.After.High })},
	{"floor_low_stops", "lower end of the 95 % interval of floor_stops; empty where that is only a bound",
		ofNoise(func(c *clip) any { return c.Noise.FloorLow })},
	{"floor_high_stops", "upper end", ofNoise(func(c *clip) any { return c.Noise.FloorHigh })},
	{"clipping_undecided", "yes where the frame may be clipped and the recording does not tell",
		func(c *clip) any { return c.Highlights.Undecided }},
	{"intended_stops", "the offset over nominal exposed at on purpose, by which the clip is judged; empty for none",
		func(c *clip) any { return intended(c) }},
	{"display_file", "of the display transform that what follows is shown through; empty for the built-in rendering",
		ofDisplay(func(d *onDisplay) any { return d.File })},
	{"display_grey_percent", "display signal of the subject's grey after the correction, of the file's white",
		ofDisplay(func(d *onDisplay) any { return d.Grey })},
	{"display_ceiling_percent", "and of the recording's ceiling", ofDisplay(func(d *onDisplay) any { return d.Ceiling })},
}

// ofDisplay leaves the cell empty where there is no display file.
func ofDisplay(value func(*onDisplay) any) func(*clip) any {
	return func(c *clip) any {
		if c.Advice.After.Display == nil {
			return nil
		}
		return value(c.Advice.After.Display)
	}
}

func intended(c *clip) any {
	if c.Advice.Intended == nil {
		return nil
	}
	return *c.Advice.Intended
}

func findingIDs(c *clip) string {
	ids := make([]string, len(c.Advice.Findings))
	for i, f := range c.Advice.Findings {
		ids[i] = string(f.ID)
	}
	return strings.Join(ids, " ")
}
