package text

import (
	"fmt"
	"io"
	"strings"

	"stopledger/analyze/plan"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// ChoiceHeads are the heads of ChoiceRows.
var ChoiceHeads = []string{"ISO", "grey at", "from", "to", "short by", "floor", "ceiling"}

// ChoiceRows returns what each ISO holds of a scene, a row each, in stops.
func ChoiceRows(p *report.Plan) (rows [][]string) {
	for _, c := range p.Choices {
		short := "fits"
		if !c.Fits {
			short = c.Short.Plain(1)
		}
		rows = append(rows, []string{planISO(c.ISO), Signed(c.Placement, 1, "") + marked(c.Recommended),
			Signed(c.Lowest, 1, ""), Signed(c.Highest, 1, ""), short, Signed(c.Floor, 1, ""), Signed(c.Ceiling, 1, "")})
	}
	return rows
}

// PlacementHeads returns the heads of PlacementRows.
func PlacementHeads(p *report.Plan) []string {
	return []string{"ISO", "grey at", "card", "face", "white", "stay below", "headroom",
		"SNR " + p.Scene.Low.FromGrey(), "fits"}
}

// PlacementRows returns placements of a plan, a row each: zebras in percent, headroom in stops.
func PlacementRows(all []plan.Row) (rows [][]string) {
	for _, r := range all {
		z := r.Zebra
		rows = append(rows, []string{planISO(r.ISO), Signed(r.Placement, 1, "") + marked(r.Recommended),
			Number(z.Grey, 1, ""), Number(z.SkinLow, 1, "") + " - " + Number(z.SkinHigh, 1, ""), Number(z.White, 1, ""),
			Number(z.Ceiling, 1, ""), Signed(r.Headroom, 1, ""), r.SNR.String(), YesNo(r.Fits)})
	}
	return rows
}

// marked marks what is recommended.
func marked(recommended bool) string {
	if recommended {
		return " *"
	}
	return ""
}

func planISO(iso *int) string {
	if iso == nil {
		return curve.Absent
	}
	return fmt.Sprint(*iso)
}

// PlanTitle says what is planned for.
func PlanTitle(p *report.Plan) string {
	title := fmt.Sprintf("%s, a scene from %s to %s stops from grey", p.Curve, Signed(p.Scene.Low, 1, ""),
		Signed(p.Scene.High, 1, ""))
	if p.Profile != nil {
		title += ", by the profile " + *p.Profile
	}
	if p.Test != "" {
		title += ", by the test clip " + p.Test
	}
	return metadata.Printable(title)
}

// ZebraNote says what zebras are of.
const ZebraNote = "Zebras are percents of video level, of what the key light falls on."

// PlanNotes says what the zebras stand for.
func PlanNotes(p *report.Plan) string {
	var notes []string
	for _, t := range p.Tones[1:] {
		reach := Signed(t.Low, 2, "")
		if t.High != t.Low {
			reach += " to " + Signed(t.High, 2, "")
		}
		notes = append(notes, fmt.Sprintf("The %s lies at %s stops from grey (%s).", t.Name, reach, t.Source))
	}
	return ZebraNote + " * is recommended, - lies above the ceiling. " + strings.Join(notes, " ")
}

// chosen returns the rows of the ISO that is recommended.
func chosen(p *report.Plan) (rows []plan.Row) {
	for _, c := range p.Choices {
		for _, r := range p.Rows {
			if c.Recommended && planISO(r.ISO) == planISO(c.ISO) {
				rows = append(rows, r)
			}
		}
	}
	return rows
}

// WritePlan writes a plan for people: what each ISO holds, the placements of the ISO that is recommended,
// ISOs at equal light, and what to do.
func WritePlan(w io.Writer, p *report.Plan, layout Layout) error {
	var b strings.Builder
	part := func(title string, heads []string, rows [][]string) {
		var t Table
		for _, h := range heads {
			t = append(t, Column{Head: h})
		}
		b.WriteString(layout.paint(styleHead, title) + "\n" + t.Text(rows) + "\n")
	}
	b.WriteString(Wrap(PlanTitle(p), "", layout.Width) + "\n")
	if len(p.Choices) > 1 {
		part("What each ISO holds, stops", ChoiceHeads, ChoiceRows(p))
	}
	part("Placements", PlacementHeads(p), PlacementRows(chosen(p)))
	if p.Night != nil {
		part(NightTitle(p), PlacementHeads(p), PlacementRows(p.Night.Rows))
	}
	b.WriteString(Wrap(PlanNotes(p), "", layout.Width) + "\n" + Wrap(p.Advice, "", layout.Width))
	_, err := io.WriteString(w, b.String())
	return err
}

// NightTitle says at which light ISOs are compared.
func NightTitle(p *report.Plan) string {
	return fmt.Sprintf("At equal light, for which a meter asks ISO %.0f", float64(p.Night.Meter))
}
