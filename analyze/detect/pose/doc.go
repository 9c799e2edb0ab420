// Package pose makes random scenes with a chart, with a card or with neither, records them with the
// noise of a camera, and judges what the detector found in them. The detector's tests and the
// command that retunes its parameters look at the same scenes.
package pose
