package analyze

import (
	"image"
	"math"

	"stopledger/analyze/find"
	"stopledger/curve"
)

// A Result is everything measured in one clip, in natural units: stops, file codes and linear
// light. A number that was not measured is NaN.
type Result struct {
	Reading    curve.Reading
	Matrix     curve.Matrix
	Groups     int
	Frames     int // measured
	Lost       int // present but not decodable
	Placement  *Placement
	Noise      Noise
	Highlights Highlights
	Advice     Advice
	Histogram  Histogram
	Scene      Scene
	Moments    []Moment
	Variation  Variation
	Doubts     []Finding
	Stills     Stills

	facts Facts
	lifts []float64
}

// A Placement is where grey landed, in stops over nominal.
type Placement struct {
	Stops, Low, High float64 // value and 95 % interval
	Method           string  // region, card, chart, face, scene
	Weak             bool    // not a ground for a correction
	Confidence       float64 // of the detection, NaN for a region
	Code             float64 // file code of the mean light
	Reflectance      float64 // assumed
	Area             image.Rectangle
	Corners          []image.Point
	Drift            float64 // last less first along a straight line, NaN for one group
	Series           []StopsAt
	Chart            *find.Chart // nil unless Method is chart
	Candidates       []Candidate
	Carried          string // clip it was carried over from, with --hold-grey
}

// A StopsAt is a value at a time in seconds.
type StopsAt struct{ T, Stops float64 }

// A Candidate is one piece of evidence of where grey is.
type Candidate struct {
	Method     string
	Stops      float64
	Confidence float64
	Area       image.Rectangle
	Used       bool
	Note       string
}

// Noise is the temporal noise of a clip.
type Noise struct {
	Tones         []Tone // luma, darkest first
	Channels      [3][]Tone
	Model         *Model // nil where none fits, see ModelReason
	ModelReason   string
	Floor         float64 // recorded stops at SNR 1
	FloorSNR2     float64 // recorded stops at SNR 2
	Usable        float64 // stops from floor to ceiling
	Codec         Codec
	Suppressed    string // why the recorded noise understates the camera's; empty if it does not
	GrainPx       float64
	ChannelGrain  [3]float64
	Patches       []PatchNoise // of the areas the user pointed at
	RejectedShare float64      // of the cells looked at
	Graded        []Graded
}

// A Tone is the noise at one level.
type Tone struct {
	Linear      float64 // mean scene-linear light of the cells
	Stops       float64 // recorded stops
	Code        float64 // mean file code
	SigmaCode   float64 // file code; NaN when below what whole codes can show
	SigmaLinear float64
	Relative    float64 // standard error of SigmaCode / SigmaCode; NaN where that is
	Cells       int
	Samples     float64 // effective number
	Fixed       float64 // standing pattern, file code; NaN
	Row, Column float64 // of it, banding
}

// SNR returns 20 log10(linear / sigma) in dB, with its 95 % interval: of the sample, and of what
// no sample tells (systematic).
func (t Tone) SNR() (db, low, high float64) {
	if !(t.Linear > 0) || !(t.SigmaLinear > 0) {
		return math.NaN(), math.NaN(), math.NaN()
	}
	db = 20 * math.Log10(t.Linear/t.SigmaLinear)
	spread := 1.96 * math.Hypot(t.Relative, systematic/2)
	return db, db - 20*math.Log10(1+spread), db + 20*math.Log10(1+spread)
}

// A Model is variance = Read^2 + Shot x linear, all in scene-linear units.
type Model struct {
	Read, Shot           float64
	ReadError, ShotError float64 // one standard error
	Chi2                 float64 // per degree of freedom
}

// Sigma returns the noise at scene-linear light.
func (m Model) Sigma(linear float64) float64 {
	return math.Sqrt(m.Read*m.Read + m.Shot*math.Max(linear, 0))
}

// SNR returns 20 log10(linear / sigma) in dB, NaN at or below no light.
func (m Model) SNR(linear float64) float64 {
	if !(linear > 0) {
		return math.NaN()
	}
	return 20 * math.Log10(linear/m.Sigma(linear))
}

// Floor returns the recorded stops at which linear / sigma = snr: the positive root of
// L^2 = snr^2 (Read^2 + Shot L).
func (m Model) Floor(snr float64) float64 {
	b := snr * snr * m.Shot
	return curve.ToStops((b + math.Sqrt(b*b+4*snr*snr*m.Read*m.Read)) / 2)
}

// A Codec says what coding did to the noise.
type Codec struct {
	Repeated  float64          // share of whole cells whose every sample repeats
	Growth    float64          // variance at the longest lag / at lag 1, NaN
	Spread    float64          // largest / smallest change between frames, over the pairs, NaN
	ByPicture map[byte]float64 // mean variance of differences into I, P, B pictures, file code^2
	Coarse    float64          // 4 x variance of 2x2 means / variance: over 1 where demosaicing or coding took the finest noise, NaN
	Kurtosis  float64          // of differences; 3 for noise as a sensor makes it, NaN
}

// Graded is the noise as displayed after an exposure change.
type Graded struct {
	Name    string
	Stops   float64
	Tones   []GradedTone
	Visible float64 // scene stops below which noise is plainly visible, NaN
}

// A GradedTone is one scene tone as displayed.
type GradedTone struct{ Scene, SNR, Nominal, SigmaL float64 }

// Highlights are what clipped.
type Highlights struct {
	Ceiling   Ceiling
	Clipped   Shares
	Headroom  float64 // stops from the brightest content to the ceiling; NaN when a field clips or all is black
	Brightest float64 // recorded stops of the 99.9th percentile; -Inf for no light
	Soft      float64 // share of the frame in the roll-off just below the ceiling
	Edge      string  // hard: light piles up at a ceiling; soft: it crowds below the curve's end without one; none
	Areas     []Area
}

// Shares are shares of the frame, 0..1, means over frames.
type Shares struct{ R, G, B, Any, All float64 }

// An Area is a clipped region.
type Area struct {
	Box      image.Rectangle
	Share    float64 // of the frame, mean over all measured frames
	Peak     float64 // of the frame, in its largest group
	Field    bool    // a sky or a window; otherwise points: lamps and glints
	From, To float64 // seconds
	Hue      float64 // share of the area where one or two channels still hold
}

// A Histogram is the share of luma samples by recorded stops.
type Histogram struct {
	First, Step float64
	Shares      []float64
	Below       float64
}

// A Scene is the level of a clip's luma in recorded stops: its log-average and percentiles.
type Scene struct{ Average, P1, P10, P50, P90, P99 float64 }

// A Moment is one group of frames.
type Moment struct{ T, Placement, Level, Floor, Clipped float64 }

// Variation tells apart how exposure moved. NaN where not found.
type Variation struct{ Drift, Step, StepAt, Flicker, FlickerHz float64 }

// A Finding is something a person should know.
type Finding struct{ ID, Level, Text string }

// Levels of findings.
const (
	Note    = "note"    // good to know
	Caution = "caution" // look at it before grading
	Alarm   = "alarm"   // consider shooting again
)
