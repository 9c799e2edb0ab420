package plan

import (
	"slices"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/curve"
)

// A Profile is what test takes say of a camera, by ISO. Light is 0.18 at the curve's nominal grey, whatever
// the ISO.
type Profile struct {
	File        string   `json:"file,omitempty"`           // it was read from
	Camera      string   `json:"camera"`                   // make and model; "" where the takes do not say
	Curve       string   `json:"curve"`                    // they were recorded with
	Index       int      `json:"exposure_index,omitempty"` // of a curve that has one
	ISOs        []ISO    `json:"isos"`                     // lowest first
	BaseISOs    []int    `json:"base_isos"`                // the lowest, and those at which noise steps down
	NoGainAbove *int     `json:"no_gain_above"`            // ISO above which gain brings nothing; nil where not known
	Notes       []string `json:"notes"`                    // what limits it; never nil

	Exposures []Exposure `json:"exposures,omitempty"` // of the takes that show grey
}

// An Exposure says by what a take's grey lies over nominal: by light, which the sensor gets, or by gain, which
// it does not.
type Exposure struct {
	Path      string      `json:"path"`            // of the take
	ISO       int         `json:"iso"`             // it was recorded at
	Placement curve.Stops `json:"placement_stops"` // of grey, over nominal
	Light     curve.Stops `json:"by_light_stops"`  // more than nominal at the base ISO: cleaner, and nearer to the ceiling
	Gain      curve.Stops `json:"by_gain_stops"`   // from the base ISO: no cleaner
	Base      int         `json:"base_iso"`        // at or below ISO
}

// An ISO is a camera at one ISO. What could not be measured is unknown.
type ISO struct {
	ISO      int      `json:"iso"`      // or exposure index
	Ceilings Ceilings `json:"ceilings"` // codes at which R', G', B' clip
	noise.Camera

	Ceiling curve.Stops     `json:"ceiling_stops"`   // recorded, of the first channel to clip
	Origin  clipping.Origin `json:"ceiling_origin"`  // curve where no take clips
	Usable  curve.Stops     `json:"usable_stops"`    // from the floor to the ceiling
	Input   Input           `json:"input_referred"`  // noise in light before gain
	Takes   int             `json:"takes"`           // of this ISO
	Dark    int             `json:"dark_takes"`      // of them, with the lens capped
	Coding  curve.Decibels  `json:"coding_loss_db"`  // taken off the camera's noise, allowed for; unknown where not known
	Reason  string          `json:"reason"`          // why noise is not told; empty where it is
	Reduced []noise.Cause   `json:"noise_reduction"` // in the camera, as far as it shows; never nil

}

// Ceilings are codes on the 10-bit scale; unknown for a channel that clips in no take.
type Ceilings struct {
	R curve.Code `json:"r"` // of red
	G curve.Code `json:"g"` // of green
	B curve.Code `json:"b"` // of blue
}

// An Input is noise referred to the light before gain: that of the recording over the gain, so that ISOs
// compare at equal light. It is in light at the lowest ISO.
type Input struct {
	Read     curve.Light `json:"read_linear"` // read noise / gain
	ReadLow  curve.Light `json:"read_low"`    // lower end of its 95 % interval
	ReadHigh curve.Light `json:"read_high"`   // upper end
	Shot     curve.Light `json:"shot_linear"` // shot noise / gain: the same at all ISOs of a sensor left alone
}

// At returns the profile's ISO, nil where it has none of that.
func (p *Profile) At(iso int) *ISO {
	i := slices.IndexFunc(p.ISOs, func(one ISO) bool { return one.ISO == iso })
	if i < 0 {
		return nil
	}
	return &p.ISOs[i]
}

// Sensors returns what the profile knows, one an ISO.
func (p *Profile) Sensors() (all []Sensor) {
	for i := range p.ISOs {
		one := &p.ISOs[i]
		s := Sensor{ISO: one.ISO, Ceiling: one.Ceiling, Origin: one.Origin}
		if one.Known() {
			s.Noise = one.Camera
		}
		all = append(all, s)
	}
	return all
}
