package csv

import (
	"io"
	"slices"
	"strconv"

	"stopledger/report"
	"stopledger/report/text"
)

var profileHeads = []string{"iso", "base", "takes", "dark_takes", "read_linear", "read_low", "read_high", "shot_linear",
	"shot_low", "shot_high", "floor_stops", "floor_low_stops", "floor_high_stops", "ceiling_stops", "ceiling_origin",
	"usable_stops", "input_read_linear", "input_read_low", "input_read_high", "input_shot_linear", "coding_loss_db",
	"ceiling_r", "ceiling_g", "ceiling_b"}

// WriteProfile writes one row an ISO.
func WriteProfile(w io.Writer, p *report.Profile) error {
	rows := [][]string{profileHeads}
	for _, i := range p.ISOs {
		rows = append(rows, []string{strconv.Itoa(i.ISO), text.YesNo(slices.Contains(p.BaseISOs, i.ISO)),
			strconv.Itoa(i.Takes), strconv.Itoa(i.Dark), number(i.Read), number(i.ReadLow), number(i.ReadHigh), number(i.Shot),
			number(i.ShotLow), number(i.ShotHigh), number(i.Floor), number(i.FloorLow), number(i.FloorHigh), number(i.Ceiling),
			string(i.Origin), number(i.Usable), number(i.Input.Read), number(i.Input.ReadLow), number(i.Input.ReadHigh),
			number(i.Input.Shot), number(i.Coding), number(i.Ceilings.R), number(i.Ceilings.G), number(i.Ceilings.B)})
	}
	return write(w, rows)
}
