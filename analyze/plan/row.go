package plan

import (
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// A Request is what is planned for.
type Request struct {
	Reading curve.Reading // with which recordings will be read
	Scene   Scene         // how far it reaches
	Sensors []Sensor      // one an ISO, lowest first; at least one
	Profile string        // file of the profile, "" for none
	Above   *int          // ISO above which gain brings nothing; nil where not known
	Notes   []string      // what limits it, for the advice; empty ones do not count
	Meter   float64       // ISO for which a meter asks the light there is; 0 for the highest of the sensors
}

// A Row is one placement at one ISO.
type Row struct {
	Placement   curve.Stops    `json:"placement_stops"` // of grey, over nominal
	ISO         *int           `json:"iso"`             // nil where it is not known
	Zebra       Zebra          `json:"zebra_percent"`   // what it reads
	Headroom    curve.Stops    `json:"headroom_stops"`  // from the scene's high end to the ceiling
	SNR         curve.Decibels `json:"snr_db"`          // of the camera at the scene's low end
	SNRLow      curve.Decibels `json:"snr_low_db"`      // lower end of its 95 % interval
	SNRHigh     curve.Decibels `json:"snr_high_db"`     // its upper end
	Fits        bool           `json:"fits"`            // low end clean enough, high end with the reserve
	Recommended bool           `json:"recommended"`     // of its ISO
}

// row works out one placement at a sensor.
func row(q Request, s Sensor, at curve.Stops, recommended bool) Row {
	snr := s.snr(at + q.Scene.Low)
	r := Row{Placement: at, ISO: s.iso(), Zebra: zebra(q.Reading, at, s.Ceiling, s.Ceiling-limit.Margin),
		Headroom: s.Ceiling - at - q.Scene.High, SNR: snr.Value, SNRLow: snr.Low, SNRHigh: snr.High,
		Recommended: recommended}
	const slip = 1e-9 // of sums of stops
	r.Fits = r.Headroom >= limit.Margin-slip && !(at < s.reaching(q.Scene, limit.ThinSNR)-slip)
	return r
}
