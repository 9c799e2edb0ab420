package metadata

import (
	"fmt"
	"math"
)

// Camera holds the settings a clip was recorded with. A nil number or an empty text was not said.
// Where settings are written for each frame, these are the first frame's.
type Camera struct {
	Make     string
	Model    string
	Serial   string
	Lens     string
	Timecode string // of the first frame, HH:MM:SS:FF or HH:MM:SS;FF
	Gamut    string // capture primaries, published name
	Coding   string // capture matrix, published name
	Exposure string // how exposure was set: manual, automatic, gain priority ...
	TintUnit string // of Tint: Duv or CC

	ISO             *float64
	ExposureIndex   *float64
	GainDB          *float64
	ShutterS        *float64 // seconds
	ShutterAngleDeg *float64
	IrisF           *float64 // F-number
	IrisT           *float64 // T-number
	NDStops         *float64 // stops of light taken away
	WhiteBalanceK   *float64
	Tint            *float64 // in TintUnit
	CaptureFPS      *float64 // of the sensor; may differ from the file's rate
	FocalMM         *float64 // actual focal length

	Looks *CDL // the look the camera carried, not applied to the recording

	SetsHeld int      // frames that carry settings, 0 where unknown or none
	SetsRead int      // of those, how many were looked at, spread over the clip
	Changes  []string // sentences: which setting changed between the frames looked at
}

// A CDL is the colour decision list of one clip (ASC CDL v1.2): out = (in*Slope + Offset)^Power.
type CDL struct {
	Slope, Offset, Power [3]float64 // R, G, B
	Saturation           float64
}

// A quantity is one number of a Camera, with the words to speak of it.
type quantity struct {
	format string
	of     func(*Camera) **float64
}

var quantities = []quantity{
	{"ISO %.0f", func(c *Camera) **float64 { return &c.ISO }},
	{"exposure index %.0f", func(c *Camera) **float64 { return &c.ExposureIndex }},
	{"gain %+.1f dB", func(c *Camera) **float64 { return &c.GainDB }},
	{"shutter %.6g s", func(c *Camera) **float64 { return &c.ShutterS }},
	{"shutter angle %.1f degrees", func(c *Camera) **float64 { return &c.ShutterAngleDeg }},
	{"iris F%.1f", func(c *Camera) **float64 { return &c.IrisF }},
	{"iris T%.1f", func(c *Camera) **float64 { return &c.IrisT }},
	{"ND %.1f stops", func(c *Camera) **float64 { return &c.NDStops }},
	{"white balance %.0f K", func(c *Camera) **float64 { return &c.WhiteBalanceK }},
	{"tint %.5g", func(c *Camera) **float64 { return &c.Tint }},
	{"capture rate %.6g fps", func(c *Camera) **float64 { return &c.CaptureFPS }},
	{"focal length %.1f mm", func(c *Camera) **float64 { return &c.FocalMM }},
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
		if have := q.of(c); *have == nil {
			*have = *q.of(&other)
		}
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
		if *q.of(c) != nil {
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
	var first, last, low, high *float64
	for i := range frames {
		v := *q.of(&frames[i])
		if v == nil {
			continue
		}
		if first == nil {
			first, low, high = v, v, v
		}
		last = v
		if *v < *low {
			low = v
		}
		if *v > *high {
			high = v
		}
	}
	if first == nil || q.say(low) == q.say(high) {
		return ""
	}
	s := fmt.Sprintf("%s at first, %s at last", q.say(first), q.say(last))
	if *low < math.Min(*first, *last) || *high > math.Max(*first, *last) {
		s += fmt.Sprintf(", from %s to %s in between", q.say(low), q.say(high))
	}
	return s
}

func (q quantity) say(v *float64) string { return fmt.Sprintf(q.format, *v) }

// number returns a pointer to v, or nil where v is not finite.
func number(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// positive returns a pointer to v, or nil where v is not a finite number above 0.
func positive(v float64) *float64 {
	if !(v > 0) {
		return nil
	}
	return number(v)
}
