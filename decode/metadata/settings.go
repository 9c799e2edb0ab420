package metadata

import (
	"math"

	"stopledger/curve"
	"stopledger/decode/metadata/container"
)

// A setter puts a key's value into a camera; false says that the value is not understood.
type setter func(*Camera, container.Value) bool

// settings are the keys of camera settings, in lower case. Names and scales: ExifTool,
// QuickTime.pm, and three readers of files with the SxS keys; no file was seen.
var settings = map[string]setter{
	"com.arri.camera.exposureindexasa":   inRange(1, 1e6, exposureIndex),
	"com.arri.camera.whitebalancekelvin": inRange(1000, 50000, kelvin),
	"com.arri.camera.whitebalancetintcc": inRange(-100, 100, tintCC),
	"com.arri.camera.shutterangle":       inRange(0.1, 360, angle),
	"com.arri.camera.ndfilterdensity":    inRange(0, 6, density),
	"com.arri.camera.sensorfps":          inRange(0.1, 1e6, sensorRate),
	"com.arri.camera.cameramodel":        textOf(func(c *Camera) *string { return &c.Model }),
	"com.arri.camera.cameraserialnumber": textOf(func(c *Camera) *string { return &c.Serial }),
	"com.arri.camera.lenstype":           textOf(func(c *Camera) *string { return &c.Lens }),

	"com.apple.quicktime.make":  textOf(func(c *Camera) *string { return &c.Make }),
	"com.apple.quicktime.model": textOf(func(c *Camera) *string { return &c.Model }),
	"com.android.manufacturer":  textOf(func(c *Camera) *string { return &c.Make }),  // from memory
	"com.android.model":         textOf(func(c *Camera) *string { return &c.Model }), // from memory
	"make":                      textOf(func(c *Camera) *string { return &c.Make }),
	"model":                     textOf(func(c *Camera) *string { return &c.Model }),

	"com.apple.proapps.exif.{exif}.exposureindex":     inRange(1, 1e6, exposureIndex),
	"com.apple.proapps.exif.{exif}.fnumber":           inRange(0.5, 128, irisF),
	"com.apple.proapps.exif.{exif}.shutterspeedvalue": inRange(-10, 20, apexTime),

	"org.smpte.rdd18.camera.isosensitivity":                   inRange(1, 1e7, iso),
	"org.smpte.rdd18.camera.shutterspeed_angle":               inRange(0.1, 360, angle),
	"org.smpte.rdd18.camera.neutraldensityfilterwheelsetting": inRange(1, 65535, transmits),
	"org.smpte.rdd18.camera.whitebalance":                     inRange(1000, 50000, kelvin),
	"org.smpte.rdd18.lens.irisfnumber":                        inRange(0.5, 128, irisF),
	"com.blackmagic-design.camera.cameratype":                 textOf(func(c *Camera) *string { return &c.Model }),
	"com.blackmagic-design.camera.lenstype":                   textOf(func(c *Camera) *string { return &c.Lens }),
	"com.atomos.hdr.gamut":                                    textOf(func(c *Camera) *string { return &c.Gamut }),
	"com.atomos.raw.intermediate_gamut":                       textOf(func(c *Camera) *string { return &c.Gamut }),
}

// inRange refuses numbers that the setting cannot have, most often because they are in a unit
// that was not seen before.
func inRange[T ~float64](low, high float64, set func(*Camera, T)) setter {
	return func(c *Camera, v container.Value) bool {
		f, ok := v.Num()
		if !ok || f < low || f > high {
			return false
		}
		set(c, T(f))
		return true
	}
}

func textOf(field func(*Camera) *string) setter {
	return func(c *Camera, v container.Value) bool {
		*field(c) = v.Text
		return true
	}
}

func iso(c *Camera, v Setting)           { c.ISO = &v }
func exposureIndex(c *Camera, v Setting) { c.ExposureIndex = &v }
func irisF(c *Camera, v Setting)         { c.IrisF = &v }
func transmits(c *Camera, n float64)     { c.NDStops = ndStops(n) }
func tintCC(c *Camera, v curve.Amount)   { c.Tint, c.TintUnit = &v, "CC" }
func kelvin(c *Camera, v Setting)        { c.WhiteBalanceK = &v }
func angle(c *Camera, v Setting)         { c.ShutterAngleDeg = &v }

// density turns an optical density into stops: log2(10^d).
func density(c *Camera, d float64) { c.NDStops = number(curve.Stops(d * math.Log2(10))) }

// sensorRate takes a number above 400 for thousandths: such cameras do not run faster.
func sensorRate(c *Camera, v Setting) {
	const fastest = 400
	if v > fastest {
		v /= 1000
	}
	c.CaptureFPS = &v
}

// apexTime turns an APEX time value into seconds: 2^-v (Exif 2.32, annex C).
func apexTime(c *Camera, v float64) { c.ShutterS = number(curve.Seconds(math.Exp2(-v))) }
