package analyze

// A Still is a picture taken from a clip for people to look at: scene-linear light, so that a
// report can render it as recorded, after a pull, or as a map of stops, without knowing a
// frame format or a curve.
type Still struct {
	Width, Height int
	T             float64   // seconds from the clip's first frame
	Scale         float64   // pixels of the frame to one pixel of the still
	X, Y          int       // where the still's corner lies in the frame
	R, G, B       []float32 // scene-linear, 0.18 = nominal grey, row by row
	Code          []uint16  // luma on the 10-bit scale
	Clipped       []uint8   // bit 0: R at the ceiling, bit 1: G, bit 2: B
}

// A Strip is one small area of consecutive frames at full size.
type Strip struct {
	SceneStops float64 // tone of the area
	Frames     []Still
}

// Stills are the pictures of one clip.
type Stills struct {
	Frame    *Still    // a whole frame, reduced
	Shadows  *Strip    // a dark area near scene -4 stops; nil where there is none
	Waveform *Waveform // of the same frame
}

// A Waveform counts luma by column and level.
type Waveform struct {
	Columns int
	Levels  int      // bins from First percent, StepPercent each
	First   float64  // percent
	Step    float64  // percent
	Counts  []uint32 // [level*Columns + column]
}
