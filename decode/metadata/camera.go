package metadata

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stopledger/curve"
)

// Camera holds the settings a clip was recorded with. A nil number or an empty text was not said.
// Where settings are written for each frame, these are the first frame's.
type Camera struct {
	Make            string          `json:"make,omitempty"`      // of the camera
	Model           string          `json:"model,omitempty"`     // of the camera
	Serial          string          `json:"serial,omitempty"`    // number of the camera
	Lens            string          `json:"lens,omitempty"`      // model of the lens
	FocalMM         *Setting        `json:"focal_mm"`            // actual focal length, mm
	Timecode        string          `json:"timecode,omitempty"`  // of the first frame, HH:MM:SS:FF or HH:MM:SS;FF
	ISO             *Setting        `json:"iso"`                 // ISO speed
	ExposureIndex   *Setting        `json:"exposure_index"`      // ISO speed it was exposed for
	GainDB          *curve.Decibels `json:"gain_db"`             // dB
	Exposure        string          `json:"exposure,omitempty"`  // how it was set: manual, automatic, gain priority ...
	ShutterS        *curve.Seconds  `json:"shutter_s"`           // s
	ShutterAngleDeg *Setting        `json:"shutter_angle_deg"`   // degrees
	IrisF           *Setting        `json:"iris_f"`              // F-number
	IrisT           *Setting        `json:"iris_t"`              // T-number
	NDStops         *curve.Stops    `json:"nd_stops"`            // stops of light taken away
	WhiteBalanceK   *Setting        `json:"white_balance_k"`     // K
	Tint            *curve.Amount   `json:"tint"`                // in TintUnit
	TintUnit        string          `json:"tint_unit,omitempty"` // Duv or CC
	CaptureFPS      *Setting        `json:"capture_fps"`         // of the sensor, frames a second
	Gamut           string          `json:"gamut,omitempty"`     // capture primaries, published name
	Coding          string          `json:"matrix,omitempty"`    // capture matrix, published name
	Looks           *CDL            `json:"look"`                // the look it carried, not applied to the recording

	SetsHeld int      `json:"settings_frames,omitempty"`      // frames that carry settings, 0 where unknown or none
	SetsRead int      `json:"settings_frames_read,omitempty"` // of those, how many were looked at, spread over the clip
	Changes  []string `json:"changes,omitempty"`              // sentences: what changed between the frames looked at
}

// A CDL is the colour decision list of one clip (ASC CDL v1.2): out = (in*Slope + Offset)^Power.
type CDL struct {
	Slope      [3]Setting `json:"slope"`      // of R, G, B
	Offset     [3]Setting `json:"offset"`     // of R, G, B
	Power      [3]Setting `json:"power"`      // of R, G, B
	Saturation Setting    `json:"saturation"` // 1 leaves it
}

// A Setting is a number of a camera's, without a unit or in the one that its field names. It is
// written to four decimals.
type Setting float64

// MarshalJSON writes a setting to four decimals, null where it is not finite.
func (v Setting) MarshalJSON() ([]byte, error) { return curve.Ratio(v).MarshalJSON() }

// UnmarshalJSON reads a setting; null gives NaN.
func (v *Setting) UnmarshalJSON(b []byte) error { return (*curve.Ratio)(v).UnmarshalJSON(b) }

// A quantity is one number of a Camera, with the words to speak of it.
type quantity struct {
	format string
	of     func(*Camera) (v float64, said bool)
	fill   func(c, other *Camera) // takes other's where c has none
}

func quantityOf[T ~float64](format string, field func(*Camera) **T) quantity {
	return quantity{format,
		func(c *Camera) (float64, bool) {
			v := *field(c)
			if v == nil {
				return 0, false
			}
			return float64(*v), true
		},
		func(c, other *Camera) {
			if have := field(c); *have == nil {
				*have = *field(other)
			}
		},
	}
}

var quantities = []quantity{
	quantityOf("ISO %.0f", func(c *Camera) **Setting { return &c.ISO }),
	quantityOf("exposure index %.0f", func(c *Camera) **Setting { return &c.ExposureIndex }),
	quantityOf("gain %+.1f dB", func(c *Camera) **curve.Decibels { return &c.GainDB }),
	quantityOf("shutter %.6g s", func(c *Camera) **curve.Seconds { return &c.ShutterS }),
	quantityOf("shutter angle %.1f degrees", func(c *Camera) **Setting { return &c.ShutterAngleDeg }),
	quantityOf("iris F%.1f", func(c *Camera) **Setting { return &c.IrisF }),
	quantityOf("iris T%.1f", func(c *Camera) **Setting { return &c.IrisT }),
	quantityOf("ND %.1f stops", func(c *Camera) **curve.Stops { return &c.NDStops }),
	quantityOf("white balance %.0f K", func(c *Camera) **Setting { return &c.WhiteBalanceK }),
	quantityOf("tint %.5g", func(c *Camera) **curve.Amount { return &c.Tint }),
	quantityOf("capture rate %.6g fps", func(c *Camera) **Setting { return &c.CaptureFPS }),
	quantityOf("focal length %.1f mm", func(c *Camera) **Setting { return &c.FocalMM }),
}

func (c *Camera) texts() []*string {
	return []*string{&c.Make, &c.Model, &c.Serial, &c.Lens, &c.Timecode, &c.Gamut, &c.Coding, &c.Exposure}
}

// fill takes from other what c does not have yet, so that filling in order of trust keeps the best.
func (c *Camera) fill(other Camera) {
	if c.Tint == nil {
		c.TintUnit = other.TintUnit
	}
	for _, q := range quantities {
		q.fill(c, &other)
	}
	theirs := other.texts()
	for i, mine := range c.texts() {
		if *mine == "" {
			*mine = *theirs[i]
		}
	}
	if c.Looks == nil {
		c.Looks = other.Looks
	}
}

// empty reports whether nothing was found.
func (c *Camera) empty() bool {
	for _, q := range quantities {
		if _, said := q.of(c); said {
			return false
		}
	}
	for _, t := range c.texts() {
		if *t != "" {
			return false
		}
	}
	return c.Looks == nil && c.SetsRead == 0
}

// changes says which numbers differ between frames given in order of time.
func changes(frames []Camera) []string {
	var said []string
	for _, q := range quantities {
		if s := q.change(frames); s != "" {
			said = append(said, s)
		}
	}
	return said
}

// change compares what people would read: a difference too small to be printed is none.
func (q quantity) change(frames []Camera) string {
	var all []float64 // in order of time
	for i := range frames {
		if v, said := q.of(&frames[i]); said {
			all = append(all, v)
		}
	}
	if len(all) == 0 {
		return ""
	}
	first, last, low, high := all[0], all[len(all)-1], slices.Min(all), slices.Max(all)
	if q.say(low) == q.say(high) {
		return ""
	}
	s := fmt.Sprintf("%s at first, %s at last", q.say(first), q.say(last))
	if low < min(first, last) || high > max(first, last) {
		s += fmt.Sprintf(", from %s to %s in between", q.say(low), q.say(high))
	}
	return s
}

func (q quantity) say(v float64) string { return fmt.Sprintf(q.format, v) }

// number returns a pointer to v, or nil where v is not finite.
func number[T ~float64](v T) *T {
	if !curve.Finite(v) {
		return nil
	}
	return &v
}

// positive returns a pointer to v, or nil where v is not a finite number above 0.
func positive[T ~float64](v T) *T {
	if !(v > 0) {
		return nil
	}
	return number(v)
}

// Speed returns the ISO speed in whole numbers, or the exposure index where the clip has that only; 0 where it
// says neither, or the camera is nil.
func (c *Camera) Speed() int {
	switch {
	case c == nil:
		return 0
	case c.ISO != nil && *c.ISO > 0:
		return int(math.Round(float64(*c.ISO)))
	case c.ExposureIndex != nil && *c.ExposureIndex > 0:
		return int(math.Round(float64(*c.ExposureIndex)))
	}
	return 0
}

// Name returns make and model, "" where the clip says neither, or the camera is nil.
func (c *Camera) Name() string {
	if c == nil {
		return ""
	}
	return strings.TrimSpace(c.Make + " " + c.Model)
}

// Light returns the stops of light that iris, shutter and ND let in, from f/1 for a second: log2(t / N^2) less
// ND, by the T-number where the clip says it. Without a word of ND there is none; rate turns an angle into a
// time. It is unknown where shutter or iris is not said, or the camera is nil.
func (c *Camera) Light(rate curve.Amount) curve.Stops {
	var shutter, iris float64
	switch {
	case c == nil:
		return curve.Unknown[curve.Stops]()
	case c.ShutterS != nil:
		shutter = float64(*c.ShutterS)
	case c.ShutterAngleDeg != nil && rate > 0:
		shutter = float64(*c.ShutterAngleDeg) / 360 / float64(rate)
	}
	switch {
	case c.IrisT != nil:
		iris = float64(*c.IrisT)
	case c.IrisF != nil:
		iris = float64(*c.IrisF)
	}
	if !(shutter > 0) || !(iris > 0) {
		return curve.Unknown[curve.Stops]()
	}
	light := curve.Stops(math.Log2(shutter / iris / iris))
	if c.NDStops != nil {
		light -= *c.NDStops
	}
	return light
}
