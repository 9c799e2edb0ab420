package still

import "stopledger/curve"

// A Camera takes pictures of a clip's frames.
type Camera struct {
	Told func() // called after each row of a frame; nil for nobody

	table   *curve.Table
	matrix  curve.Matrix
	chroma  curve.Chroma
	ceiling [3]curve.FileCode
	lights  lights
}

// NewCamera returns a camera for frames whose codes mean what the table says. ceiling are the
// file codes from which R, G and B count as clipped, +Inf where they do not clip.
func NewCamera(table *curve.Table, m curve.Matrix, ceiling [3]curve.FileCode) *Camera {
	return &Camera{table: table, matrix: m, chroma: table.Reading.Chroma(m), ceiling: ceiling, lights: newLights(table)}
}
