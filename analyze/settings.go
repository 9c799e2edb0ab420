// Package analyze measures frames: where grey landed, how noisy each tone is, what clipped, and
// what follows for the grade. It asks curve what a code means and never sees FFmpeg.
//
// A clip is measured in groups of consecutive frames. Each frame is walked once; the walk fills
// integer sums (sums.go), which merge in any order to the same bits, and every instrument reads
// those sums: placement.go, noise.go, highlights.go, variation.go, codec.go. advice.go turns
// what they say into what to do.
package analyze

import (
	"image"

	"stopledger/curve"
)

// Settings say how one clip is to be read and what is asked of it.
type Settings struct {
	Reading     curve.Reading
	Matrix      curve.Matrix
	Patches     []Patch // areas the user points at; the first one holds the grey
	Grey        string  // auto, region, card, chart, face or scene
	FaceIsGrey  bool    // a face may be the ground for a correction
	Reflectance float64 // of a detected card, 0.18 for mid grey
	Target      float64 // placement wanted after the correction, stops over nominal
	SceneTarget bool    // the scene's log-average may be the ground for a correction
	Lifts       []float64
	EveryFrame  bool
	Pictures    bool            // take stills
	Shadows     image.Rectangle // area for the enlarged strip; empty to have one chosen
	Edition     string          // of the 24-patch chart: 1976, 2005 or 2014
	Threads     int             // for decoding and measuring

	Progress func(share float64) // takes how much is done, 0..1; may be nil
}

// A Patch is an area of known reflectance.
type Patch struct {
	Area        image.Rectangle // pixels of the frame
	Reflectance float64         // 0..1
}
