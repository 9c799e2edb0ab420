package footage

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// A Scene is what stands before the camera, in pixels of the recorded frame.
type Scene struct {
	Still  []synth.Part // what does not move, back to front
	Moving []synth.Part // what moves by itself, over it
}

// marks returns the places of known reflectance.
func (s Scene) marks() []synth.Mark {
	return append(synth.Scene{Parts: s.Still}.Marks(), synth.Scene{Parts: s.Moving}.Marks()...)
}

// A Shot is a scene as it is lit, exposed and framed for a time.
type Shot struct {
	Scene  func(width, height int) Scene // built at the size asked for
	Motion Motion                        // nil for a tripod
	Stops  curve.Stops                   // exposure over nominal
	Frames int
	Rate   int    // frames a second, 0 for 25
	Seed   uint64 // of the temporal noise

	Iris     IrisPull
	Bands    Bands
	Overlays []Overlay
	Repeat   int  // every Repeat-th frame is recorded twice in place of a new one; 0 for none
	Fields   bool // interlaced: odd rows are half a frame later
	Eight    bool // 8 bits in a deeper file: the lowest bits are 0
}

// An IrisPull changes the exposure by Stops from From to To, in seconds.
type IrisPull struct {
	Stops    curve.Stops
	From, To float64
}

// Bands are rolling bands of lamp light under a rolling shutter: 1 + Depth cos 2 pi(Hz t + Rows y).
type Bands struct {
	Depth float64 // of the light, 0 for none
	Hz    float64 // as seen at the frame rate
	Rows  float64 // bands over the frame's height
}

func (s Shot) rate() float64 {
	if s.Rate == 0 {
		return 25
	}
	return float64(s.Rate)
}

// gain returns the exposure at a time and a height 0..1 of the frame.
func (s Shot) gain(t, y float64) float64 {
	stops := float64(s.Stops)
	if s.Iris.To > s.Iris.From {
		stops += float64(s.Iris.Stops) * min(max((t-s.Iris.From)/(s.Iris.To-s.Iris.From), 0), 1)
	}
	return math.Exp2(stops) * (1 + s.Bands.Depth*math.Cos(2*math.Pi*(s.Bands.Hz*t+s.Bands.Rows*y)))
}

// moment returns which moment a recorded frame shows: where frames repeat, fewer are shot.
func (s Shot) moment(frame int) int {
	if s.Repeat > 0 {
		return frame - frame/s.Repeat
	}
	return frame
}

// margin is how far the scene is painted beyond the frame, in recorded pixels.
const margin = 64

// A stage is a scene at the sensor's size.
type stage struct {
	shot   Shot
	cam    Camera
	scale  float64
	scene  Scene
	still  *Image // with a margin, before movement and lens
	border float64
}

func newStage(cam Camera, shot Shot) *stage {
	w, h := cam.photosites()
	scale := float64(w) / float64(cam.Record.Width)
	s := &stage{shot: shot, cam: cam, scale: scale, scene: shot.Scene(w, h), border: math.Round(margin * scale)}
	s.still = NewImage(w+2*int(s.border), h+2*int(s.border))
	s.still.paint(s.scene.Still, -s.border, -s.border, 0)
	return s
}

// at returns what the camera sees at a time, in photosites.
func (s *stage) at(t float64) view {
	if s.shot.Motion == nil {
		return view{0, 0, 1}
	}
	x, y, scale := s.shot.Motion(t)
	return view{x * s.scale, y * s.scale, scale}
}

// light returns the exposed light on the photosites at a time.
func (s *stage) light(t float64) *Image {
	w, h := s.cam.photosites()
	m := NewImage(w, h)
	v := s.at(t)
	s.still.look(m, v, s.border)
	m.paint(s.scene.Moving, v.X, v.Y, t)
	m.blur(s.cam.Lens)
	rows(h, func(y int) {
		g := float32(s.shot.gain(t, float64(y)/float64(h)))
		for c := range m.Planes {
			row := m.Row(c, y)
			for x := range row {
				row[x] *= g
			}
		}
	})
	return m
}
