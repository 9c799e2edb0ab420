package plan

import (
	"slices"

	"stopledger/analyze/limit"
	"stopledger/curve"
)

// Night compares ISOs at equal light: iris, shutter and lamps as they are, so that only gain differs.
type Night struct {
	Meter curve.Amount `json:"meter_iso"` // ISO for which a meter asks this light: grey is nominal there
	Rows  []Row        `json:"rows"`      // one an ISO
	Best  *int         `json:"best_iso"`  // cleanest at the scene's low end that holds its high end; nil for none
}

// nightOf compares the sensors at the light there is; nil without two whose ISO is known.
func nightOf(q Request) *Night {
	var known []Sensor
	for _, s := range q.Sensors {
		if s.ISO > 0 {
			known = append(known, s)
		}
	}
	if len(known) < 2 {
		return nil
	}
	n := &Night{Meter: curve.Amount(q.Meter), Rows: []Row{}}
	if n.Meter == 0 {
		n.Meter = curve.Amount(known[len(known)-1].ISO)
	}
	for _, s := range known {
		n.Rows = append(n.Rows, row(q, s, gained(float64(s.ISO), float64(n.Meter)), false))
	}
	if best := cleanest(n.Rows); best >= 0 {
		n.Rows[best].Recommended, n.Best = true, n.Rows[best].ISO
	}
	return n
}

// cleanest returns the row with the best SNR of those that hold the high end, the lowest ISO of those
// that are as good; -1 where none is known.
func cleanest(rows []Row) int {
	holds := func(r Row) bool { return r.Headroom >= limit.Margin && curve.Finite(r.SNR) }
	best := curve.Unknown[curve.Decibels]()
	for _, r := range rows {
		if holds(r) && !(r.SNR <= best) {
			best = r.SNR
		}
	}
	return slices.IndexFunc(rows, func(r Row) bool { return holds(r) && r.SNR > best-limit.WorthChoice })
}
