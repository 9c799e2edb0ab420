// Package noise measures the temporal noise of a recording: by tone, in luma and in R', G' and B';
// the photon transfer behind it, the floor, the grain, the standing pattern, and what coding did
// to it. Its accumulator works in file codes; results are on the 10-bit scale.
package noise

import (
	"encoding/json"

	"stopledger/curve"
)

// DarkestTone is the lowest tone in recorded stops; what is darker counts to it.
const DarkestTone curve.Stops = -10

// LeastSigma is the noise below which rounding hides it: the correction by 1/12 code^2 fails
// there. EMVA 1288 release 4.0 counts a variance under 0.24, sigma 0.40 after the correction, as
// quantisation; at 0.5 the corrected figure is right within 1.6 %.
const LeastSigma curve.FileCode = 0.5

// A Result is the temporal noise of a recording. Figures of tones are as recorded; floor and model
// are of the camera, before coding.
type Result struct {
	Floor         curve.Stops `json:"floor_stops"`            // recorded stops where SNR is 1; unknown where Suppressed
	FloorSNR2     curve.Stops `json:"floor_snr2_stops"`       // recorded stops where SNR is 2
	Usable        curve.Stops `json:"usable_stops"`           // from the floor to the ceiling
	FloorLow      curve.Stops `json:"floor_low_stops"`        // lower end of its 95 % interval; unknown with FloorBound
	FloorHigh     curve.Stops `json:"floor_high_stops"`       // its upper end
	FloorBound    FloorBound  `json:"floor_bound"`            // floor and high are it; empty with an interval
	Suppressed    bool        `json:"suppressed"`             // the recording hides the camera's noise
	Reason        string      `json:"suppressed_reason"`      // why, empty if not
	Unmeasured    string      `json:"unmeasured_reason"`      // why no noise could be told, empty if it could
	Causes        []Cause     `json:"causes"`                 // what disturbs the noise or takes it; never nil
	Coding        Coding      `json:"coding"`                 // what coding took off the camera's noise
	Doubt         string      `json:"doubt,omitempty"`        // why some tones are not told, empty where all are
	Model         *Model      `json:"model"`                  // of the camera before coding; nil where none fits
	Least         *Model      `json:"model_least"`            // the same with the least that coding may have taken
	Most          *Model      `json:"model_most"`             // the same with the most
	Recorded      *Model      `json:"model_recorded"`         // of the noise as recorded; nil where none fits
	ModelReason   string      `json:"model_reason,omitempty"` // why none does
	Tones         []Tone      `json:"tones"`                  // of luma, darkest first
	Channels      []Channel   `json:"channels"`               // R', G', B', those with tones
	GrainPx       curve.Ratio `json:"grain_px"`               // equivalent side of a grain in pixels; 1 for white noise
	Codec         Codec       `json:"codec"`                  // what coding did to the noise
	Profile       *Camera     `json:"profile,omitempty"`      // of the camera by its profile, where the clip hides it
	RejectedShare curve.Share `json:"rejected_share"`         // of the cells looked at

	Made   []Made      `json:"-"` // tones as the camera made them; none where what coding took is not known
	Groups []Group     `json:"-"` // in the order of the clip
	Tilted []*Model    `json:"-"` // with what coding may have taken of dark and bright tones unlike
	Top    curve.Light `json:"-"` // light above which a sensor's noise shrinks; 0 where that is not known
}

// A Made is a tone as the camera made it, before coding.
type Made struct {
	Light    curve.Light   // mean of the cells
	Sigma    []curve.Light // noise by what coding may have taken: likely, least, most and between; unknown where hidden
	Below    curve.Light   // noise is below this, where rounding hides it; unknown elsewhere
	Relative curve.Ratio   // standard error of Sigma / Sigma of the sample; unknown where Sigma is
	Coding   curve.Ratio   // standard error of Sigma / Sigma by what coding took
	Places   float64       // distinct cells
	Noisy    bool          // so noisy that codes end within the noise, or the curve bends: not its true size
}

// A Camera is the photon transfer of a camera before coding, variance = read^2 + shot x light, with 95 %
// intervals. Without a lower end of Read, Read is no more than ReadHigh.
type Camera struct {
	Read      curve.Light `json:"read_linear"`      // standard deviation without light
	ReadLow   curve.Light `json:"read_low"`         // lower end; 0 where only a bound is known
	ReadHigh  curve.Light `json:"read_high"`        // upper end
	Shot      curve.Light `json:"shot_linear"`      // variance that a unit of light adds
	ShotLow   curve.Light `json:"shot_low"`         // lower end
	ShotHigh  curve.Light `json:"shot_high"`        // upper end
	Floor     curve.Stops `json:"floor_stops"`      // recorded, where SNR is 1
	FloorLow  curve.Stops `json:"floor_low_stops"`  // lower end; unknown where only a bound is known
	FloorHigh curve.Stops `json:"floor_high_stops"` // upper end, or the bound
}

// A Group is the noise of one group of frames, for the clip's time line.
type Group struct {
	T     curve.Seconds // of its first frame
	Floor curve.Stops   // recorded stops where SNR is 1; also given where the whole clip's is suppressed
}

// A Channel is the noise of R', G' or B'.
type Channel struct {
	Name    string      `json:"name"`     // r, g or b
	GrainPx curve.Ratio `json:"grain_px"` // as of luma, in the channel's own samples
	Tones   []Tone      `json:"tones"`    // darkest first
}

// A Tone is the noise at one level.
type Tone struct {
	Recorded    curve.Stops    `json:"recorded_stops"`     // mean level of the cells; DarkestTone without light
	Code        curve.Code     `json:"code"`               // their mean
	SigmaCode   curve.Code     `json:"sigma_code"`         // unknown when below what whole codes can show
	Below       curve.Code     `json:"below_code"`         // then sigma is below this
	SigmaLinear curve.Light    `json:"sigma_linear"`       // the same in light
	SNR         curve.Decibels `json:"snr_db"`             // 20 log10(light / sigma); unknown where Suppressed
	Low         curve.Decibels `json:"low_db"`             // lower end of its 95 % interval; known with Below
	High        curve.Decibels `json:"high_db"`            // its upper end
	Cells       int            `json:"cells"`              // that it rests on, once a pair of frames
	Fixed       curve.Code     `json:"fixed_pattern_code"` // standing pattern
	Row         curve.Code     `json:"row_code"`           // of it, banding by rows
	Column      curve.Code     `json:"column_code"`        // of it, banding by columns

	Light    curve.Light `json:"-"` // mean light of the cells
	Relative curve.Ratio `json:"-"` // standard error of SigmaCode / SigmaCode
	Samples  float64     `json:"-"` // effective sample size
}

// A Codec is what coding did to the noise.
type Codec struct {
	// RepeatedShare is the share of cells whose every sample repeats the frame before.
	RepeatedShare curve.Share `json:"repeated_share"`
	// CoarseOverFine is 4 x variance of 2x2 means / variance: over 1 where the finest noise is missing.
	CoarseOverFine curve.Ratio `json:"coarse_over_fine"`
	// Kurtosis is that of differences; 3 for noise as a sensor makes it.
	Kurtosis curve.Ratio `json:"kurtosis"`
	// LagGrowth is the variance over the longest lag / over one frame.
	LagGrowth curve.Ratio `json:"lag_growth"`
	// ByPicture is the mean variance of differences into I, P and B pictures.
	ByPicture map[string]curve.CodeVariance `json:"by_picture"`

	// Spread is the largest / smallest variance over the pairs of frames.
	Spread curve.Ratio `json:"-"`
}

// A Cause is what makes noise hard to measure, or other than the sensor's.
type Cause string

// Causes.
const (
	Motion            Cause = "motion"                      // the picture moves as a whole
	InterlacedMotion  Cause = "interlaced-motion"           // it moves between the two fields of a frame
	FramesRepeated    Cause = "frames-repeated"             // whole frames are as the one before
	CodecCarries      Cause = "codec"                       // coding repeats, or carries over, parts of the picture
	TemporalReduction Cause = "temporal-noise-reduction"    // the camera carries noise over from frame to frame
	SpatialReduction  Cause = "spatial-noise-reduction"     // the finest noise is missing
	MotionOrReduction Cause = "movement-or-noise-reduction" // one or the other carries noise over
)

// A CodingOrigin says what the loss by coding rests on.
type CodingOrigin string

// Origins of a coding loss.
const (
	Lossless     CodingOrigin = "lossless" // nothing is lost: 0 exactly
	CodecFamily  CodingOrigin = "family"   // measured on encoders of the family, by the recorded noise
	CodingHidden CodingOrigin = ""         // not known
)

// A Coding is what coding took off the camera's noise: 20 log10(camera's sigma / recorded sigma),
// negative where it adds. Low and High span the tones.
type Coding struct {
	Loss   curve.Decibels `json:"loss_db"`          // median over the tones
	Low    curve.Decibels `json:"low_db"`           // lower end of the 95 % interval
	High   curve.Decibels `json:"high_db"`          // its upper end
	Origin CodingOrigin   `json:"origin"`           // empty where it is not known
	Reason string         `json:"reason,omitempty"` // why it is not known
}

// A FloorBound says that a floor is only known from one side.
type FloorBound string

// AtOrBelow: the floor lies at the value given or below it.
const AtOrBelow FloorBound = "at-or-below"

// MarshalJSON writes null where the floor is known from both sides.
func (b FloorBound) MarshalJSON() ([]byte, error) { return wordOrNull(string(b)) }

// MarshalJSON writes null where the loss is not known.
func (o CodingOrigin) MarshalJSON() ([]byte, error) { return wordOrNull(string(o)) }

func wordOrNull(word string) ([]byte, error) {
	if word == "" {
		return []byte("null"), nil
	}
	return json.Marshal(word)
}
