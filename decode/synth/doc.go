// Package synth is a synthetic camera. It makes clips whose exposure, noise and clipping are
// known because it put them there, so that measurements can be compared with the truth.
//
// Light goes the way it goes in a camera: a [Scene] of scene-linear light, exposed by a [Shot]
// (stops, gradients, flicker, drift), falls on the sensor of a [Camera] (shot noise, read noise,
// fixed pattern, ceiling), is recorded through a published curve and a Y'CbCr matrix as integer
// [Planes], and may be encoded to a file by [Record]. What was made is told by [Truth].
//
// Everything follows from the seeds: the same camera and shot give the same planes, however
// many processors share the work.
package synth
