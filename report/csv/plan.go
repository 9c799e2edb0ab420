package csv

import (
	"io"
	"strconv"

	"stopledger/analyze/plan"
	"stopledger/report"
	"stopledger/report/text"
)

var planHeads = []string{"light", "iso", "placement_stops", "zebra_grey_percent", "zebra_skin_low_percent",
	"zebra_skin_high_percent", "zebra_white_percent", "zebra_ceiling_percent", "headroom_stops", "snr_db", "snr_low_db",
	"snr_high_db", "fits", "recommended"}

// WritePlan writes one row a placement: with as much light as is wanted, then at equal light.
func WritePlan(w io.Writer, p *report.Plan) error {
	rows := [][]string{planHeads}
	for _, r := range p.Rows {
		rows = append(rows, planRow("any", r))
	}
	if p.Night != nil {
		for _, r := range p.Night.Rows {
			rows = append(rows, planRow("equal", r))
		}
	}
	return write(w, rows)
}

func planRow(light string, r plan.Row) []string {
	iso := ""
	if r.ISO != nil {
		iso = strconv.Itoa(*r.ISO)
	}
	z := r.Zebra
	return []string{light, iso, number(r.Placement), number(z.Grey), number(z.SkinLow), number(z.SkinHigh),
		number(z.White), number(z.Ceiling), number(r.Headroom), number(r.SNR), number(r.SNRLow), number(r.SNRHigh),
		text.YesNo(r.Fits), text.YesNo(r.Recommended)}
}
