package text

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"stopledger/analyze/clipping"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// ProfileHeads are the heads of ProfileRows.
var ProfileHeads = []string{"ISO", "takes", "read noise", "shot noise", "floor", "95 % interval", "ceiling", "usable",
	"noise before gain"}

// ProfileRows returns a row an ISO: noise in light, floor and ceiling in recorded stops, and read noise before
// gain in stops against the lowest ISO that tells it.
func ProfileRows(p *report.Profile) (rows [][]string) {
	first := curve.Unknown[curve.Light]()
	for _, i := range p.ISOs {
		if !curve.Finite(first) {
			first = i.Input.Read
		}
		iso := fmt.Sprint(i.ISO)
		if slices.Contains(p.BaseISOs, i.ISO) {
			iso += " base"
		}
		ceiling := Signed(i.Ceiling, 1, "")
		if i.Origin == clipping.CurveEnd {
			ceiling = "at most " + ceiling
		}
		floor, interval := Signed(i.Floor, 1, ""), curve.Absent
		switch {
		case curve.Finite(i.FloorLow):
			interval = Signed(i.FloorLow, 1, "") + " to " + Signed(i.FloorHigh, 1, "")
		case curve.Finite(i.Floor):
			floor = "at most " + floor
		}
		rows = append(rows, []string{iso, fmt.Sprint(i.Takes), plainLight(i.Read), plainLight(i.Shot), floor, interval,
			ceiling, Number(i.Usable, 1, ""), Signed(beforeGain(i.Input.Read, first), 1, "")})
	}
	return rows
}

// beforeGain is noise against another, in stops.
func beforeGain(read, first curve.Light) curve.Stops {
	return curve.Stops(math.Log2(float64(read / first)))
}

func plainLight(v curve.Light) string {
	if !curve.Finite(v) {
		return curve.Absent
	}
	return fmt.Sprintf("%.2g", float64(v))
}

// ExposureHeads are the heads of ExposureRows.
var ExposureHeads = []string{"take", "ISO", "grey", "by light", "by gain"}

// ExposureRows returns a row a take that shows grey: by what it lies over nominal.
func ExposureRows(p *report.Profile) (rows [][]string) {
	for _, e := range p.Exposures {
		rows = append(rows, []string{metadata.Printable(e.Path), fmt.Sprint(e.ISO), Signed(e.Placement, 2, ""),
			Signed(e.Light, 2, ""), Signed(e.Gain, 2, "")})
	}
	return rows
}

// ExposureNote says how the two ways of exposing over differ.
const ExposureNote = "Stops over nominal, by light and by gain from the base ISO. By light, shadows get cleaner and " +
	"highlights come nearer to the ceiling; by gain alone, no more light is caught and shadows get no cleaner."

// ProfileSummary says what the profile found.
func ProfileSummary(p *report.Profile) string {
	name := p.Camera
	if name == "" {
		name = "The camera"
	}
	bases := make([]string, len(p.BaseISOs))
	for i, b := range p.BaseISOs {
		bases[i] = fmt.Sprint(b)
	}
	said := fmt.Sprintf("%s in %s: base ISO %s.", name, p.Curve, strings.Join(bases, " and "))
	if p.NoGainAbove != nil {
		said += fmt.Sprintf(" Above ISO %d gain brings nothing: it costs highlights and leaves the shadows as they are.",
			*p.NoGainAbove)
	}
	return metadata.Printable(said)
}

// WriteProfile writes a profile for people.
func WriteProfile(w io.Writer, p *report.Profile, layout Layout) error {
	var b strings.Builder
	b.WriteString(Wrap(ProfileSummary(p), "", layout.Width) + "\n")
	table := func(heads []string, rows [][]string, left int) {
		var t Table
		for i, h := range heads {
			t = append(t, Column{Head: h, Left: i < left})
		}
		b.WriteString(t.Text(rows) + "\n")
	}
	table(ProfileHeads, ProfileRows(p), 0)
	if len(p.Exposures) > 0 {
		table(ExposureHeads, ExposureRows(p), 1)
		b.WriteString(Wrap(ExposureNote, "", layout.Width))
	}
	for _, n := range p.Notes {
		b.WriteString(Wrap(metadata.Printable(n), "", layout.Width))
	}
	_, err := io.WriteString(w, b.String())
	return err
}
