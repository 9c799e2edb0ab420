package synth

// TestTiles is a wedge of flat neutral tiles that fills the frame, in half stops from -8 to +6
// around 18 %, six across and five down: for noise, by tone.
func TestTiles(width, height int) Scene {
	return Scene{Name: "test tiles", Parts: []Part{
		NewWedge(Rect(0, 0, float64(width), float64(height)), 6, -8, 6, 0.5, 0),
	}}
}
