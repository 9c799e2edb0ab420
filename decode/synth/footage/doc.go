// Package footage is the camera as cameras are made, for tests of what clean clips do not show:
// scenes with natural statistics, lens blur, a colour filter array that clips before the white
// balance, demosaicing, resampling, noise reduction, sharpening, a shoulder, movement, and what
// people lay over a picture. The plain camera of package synth stays for exact limits.
//
// A frame goes this way:
//
//	scene -> movement -> lens -> vignetting, exposure -> colour filter array: photon and read
//	noise, fixed pattern, clip -> white balance -> demosaic -> resample -> shoulder -> curve ->
//	noise reduction -> sharpening -> overlays -> matrix and sampling (synth.Develop) -> codec
//
// Truth is taken before the codec.
package footage
