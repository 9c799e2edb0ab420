package synth

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A Shot is a scene as it is lit and exposed for a time.
type Shot struct {
	Scene   Scene  // what stands before the camera
	Seed    uint64 // of the temporal noise
	Frames  int    // how many
	RateNum int    // frames a second = RateNum / RateDen; 0 means 25
	RateDen int    // 0 means 1

	Stops    curve.Stops    // exposure over nominal: scene grey of 0.18 is recorded Stops higher
	Gradient Gradient       // of the light over the frame
	Veil     curve.Light    // glare: light added everywhere, before exposure
	Cast     Light          // the light's colour that white balance leaves, zero meaning none
	Pan      geometry.Point // pixels a frame the camera turns: the scene moves the other way
	Drift    curve.Stops    // a second
	Steps    []Step         // sudden changes of exposure
	Flicker  Flicker        // of the lamps
}

// A Gradient is a fall of light over the frame in stops, zero at its centre.
type Gradient struct {
	Across curve.Stops // right edge over left edge
	Down   curve.Stops // lower edge over upper edge
}

// A Step changes the exposure from a time on.
type Step struct {
	AtS   curve.Seconds // from the start of the shot
	Stops curve.Stops   // + is more light
}

// Flicker is lamp light that swings at twice the mains frequency.
type Flicker struct {
	Depth    float64       // m of 1 + m cos(2 pi f t), 0 meaning none
	MainsHz  float64       // 50 or 60
	ShutterS curve.Seconds // exposure time
	ReadoutS curve.Seconds // from the first row to the last: a rolling shutter makes bands
	Phase    float64       // radians
}

// gain returns the mean light of an exposure that starts at t: the swing is kept by
// sin(pi f T) / (pi f T).
func (f Flicker) gain(t curve.Seconds) float64 {
	if f.Depth == 0 {
		return 1
	}
	hz := 2 * f.MainsHz
	kept := 1.0
	if x := math.Pi * hz * float64(f.ShutterS); x > 0 {
		kept = math.Sin(x) / x
	}
	return 1 + f.Depth*kept*math.Cos(2*math.Pi*hz*float64(t+f.ShutterS/2)+f.Phase)
}

func (s Shot) rate() (num, den int) {
	num, den = s.RateNum, s.RateDen
	if num == 0 {
		num = 25
	}
	if den == 0 {
		den = 1
	}
	return num, den
}

// Time returns the time from the start at a frame.
func (s Shot) Time(frame int) curve.Seconds {
	num, den := s.rate()
	return curve.Seconds(float64(frame) * float64(den) / float64(num))
}

// gain returns the exposure of one row of one frame as a factor.
func (s Shot) gain(frame, row, height int) float64 {
	t := s.Time(frame)
	stops := s.Stops + s.Drift*curve.Stops(t)
	for _, st := range s.Steps {
		if t >= st.AtS {
			stops += st.Stops
		}
	}
	return stops.Gain() * s.Flicker.gain(t+s.Flicker.ReadoutS*curve.Seconds(row)/curve.Seconds(height))
}

// steady says whether every frame is exposed alike.
func (s Shot) steady() bool { return s.Drift == 0 && len(s.Steps) == 0 && s.Flicker.Depth == 0 }
