package report_test

import (
	"stopledger/analyze"
	"stopledger/analyze/advise"
	"stopledger/analyze/clipping"
	"stopledger/analyze/levels"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/analyze/variation"
	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/metadata"
	. "stopledger/report"
)

// The clips of an invented day on a river quay. The rooms' tests read them from the golden file
// that TestJSON writes.

func ptr[T any](v T) *T { return &v }

// overClip is placed over nominal by a card, well measured.
func overClip() Clip {
	c := plainClip("quay/take9.mov")
	c.Placement = &placement.Placement{Stops: 1.6512345678, Low: 1.549, High: 1.753, Reading: 0.02,
		Reference: 0.1, Method: placement.Card,
		Confidence: 0.93,
		Code:       545.2345678, Percent: 54.9, Reflectance: 0.18, Region: &geometry.Rect{X: 900, Y: 500, W: 120, H: 80},
		Drift:  0.02,
		Series: []placement.At{{T: 0, Stops: 1.64}, {T: 4, Stops: 1.66}}}
	c.Camera = &metadata.Camera{ISO: ptr(metadata.Setting(800)), ShutterS: ptr(curve.Seconds(1.0 / 8000)),
		IrisF: ptr(metadata.Setting(2.8))}
	c.Noise = unmeasured(noise.Result{Floor: -9.12, Model: &noise.Model{Read: 0.000312345678, Shot: 1.2345678e-5,
		ReadError: 1e-6, ShotError: 3e-8, Chi2: curve.Unknown[curve.Ratio]()}})
	c.Noise.Tones = []Tone{tone(-6.2, 1.65, 24.8, 0.4), tone(-5.1, 1.65, 29.7, 0.3), tone(-4.1, 1.65, 33.2, 0.2),
		tone(-3.2, 1.65, 36.5, 0.2), tone(0.1, 1.65, 46.7, 0.5)}
	c.Highlights.Headroom = 2.1
	c.Highlights.Each = map[string]clipping.Level{"r": {Code: 1019.6, Origin: clipping.Measured}}
	intended := curve.Stops(1.5)
	c.Advice = advise.Advice{Action: advise.Pull, Stops: 1.6512,
		Offset: -1.6512, Low: -1.753, High: -1.549, Target: new(curve.Stops), Intended: &intended, Rules: []string{"quay"},
		After: advise.After{SNR: 33.8, Low: 33.2, High: 34.4, Nominal: 27.2, Gain: 6.6,
			Ceiling: curve.Unknown[curve.Percent]()},
		Findings: []advise.Finding{{ID: advise.GreyOver, Level: advise.Note, Text: "Grey is over nominal."}},
		Next:     advise.NextTake{Stops: -1.65, Zebra: 40.6},
		Summary: "Grey card 1.65 stops over (54.9 %). Pull 1.65 stops before the display transform; " +
			"signal-to-noise 4 stops under grey is then " +
			"34 dB, 7 dB better than exposed at nominal. Nothing clips; 2.1 stops of headroom."}
	return c
}

// tone is a tone at scene stops, recorded over nominal by placed, of an SNR with half an interval,
// in dB.
func tone(scene, placed curve.Stops, snr, half curve.Decibels) Tone {
	code := curve.Unknown[curve.Code]()
	return Tone{Scene: scene, Tone: noise.Tone{Recorded: scene + placed, SNR: snr, Low: snr - half, High: snr + half,
		Cells:     100,
		SigmaCode: code, Below: code, SigmaLinear: curve.Unknown[curve.Light](), Fixed: code, Row: code, Column: code}}
}

// unmeasured fills in what the day's clips do not know of their noise.
func unmeasured(n noise.Result) Noise {
	ratio := curve.Unknown[curve.Ratio]()
	n.FloorLow, n.FloorHigh = n.Floor-0.1, n.Floor+0.1
	n.FloorSNR2, n.Usable, n.GrainPx = curve.Unknown[curve.Stops](), curve.Unknown[curve.Stops](), ratio
	n.Codec = noise.Codec{CoarseOverFine: ratio, Kurtosis: ratio, LagGrowth: ratio}
	return Noise{Result: n}
}

// nominalClip is the same scene at nominal, noisier and with more headroom.
func nominalClip() Clip {
	c := plainClip("quay/take10.mov")
	c.Placement = &placement.Placement{Stops: 0.02, Low: -0.084, High: 0.124, Reading: 0.03, Reference: 0.1,
		Method: placement.Card, Code: 421,
		Percent:     40.8,
		Reflectance: 0.18, Confidence: curve.Unknown[curve.Ratio](), Drift: curve.Unknown[curve.Stops]()}
	c.Noise = unmeasured(noise.Result{Floor: -9.15, Model: &noise.Model{Read: 0.00031, Shot: 1.23e-5,
		ReadError: 2e-6, ShotError: 4e-8, Chi2: curve.Unknown[curve.Ratio]()}})
	c.Noise.Tones = []Tone{tone(-5.1, 0.02, 22.5, 0.4), tone(-4.1, 0.02, 26.9, 0.3), tone(-3.2, 0.02, 30.7, 0.2),
		tone(-0.1, 0.02, 41.2, 0.4)}
	c.Highlights.Headroom = 3.7
	c.Advice = advise.Advice{Action: advise.Hold, Low: -0.124, High: 0.084,
		After: advise.After{SNR: 27.3, Low: 26.4, High: 28.2, Nominal: 27.2, Gain: 0.1,
			Ceiling: curve.Unknown[curve.Percent]()},
		Next: nothingNext(),
		Summary: "Grey card 0.02 stops over (40.8 %). Hold: no pull or lift is needed; signal-to-noise " +
			"4 stops under grey is 27 dB, the same as exposed at nominal. Nothing clips; 3.7 stops of headroom."}
	return c
}

func nothingNext() advise.NextTake {
	return advise.NextTake{Stops: curve.Unknown[curve.Stops](), Zebra: curve.Unknown[curve.Percent]()}
}

// skyClip has a clipped sky, no grey, and a name that would act on a terminal and a spreadsheet.
func skyClip() Clip {
	c := plainClip("=quay/\x1b[2Jsky, \"long\" name of a take that goes on and on.mov")
	c.Noise = unmeasured(noise.Result{Suppressed: true, Reason: "blocks repeat", Floor: -11})
	c.Highlights.Clipped = clipping.Shares{R: 0.04, G: 0.041, B: 0.0391, Any: 0.0412345678, All: 0.0388}
	c.Highlights.Low, c.Highlights.High = 0.04, 0.043
	c.Highlights.Areas = []clipping.Area{{Rect: geometry.Rect{W: 1920, H: 300}, Share: 0.041, Kind: clipping.Field,
		To: 4}}
	db := curve.Unknown[curve.Decibels]()
	stops := curve.Unknown[curve.Stops]()
	c.Advice = advise.Advice{Action: advise.None, Offset: stops, Low: stops, High: stops, Next: nothingNext(),
		After: advise.After{SNR: db, Low: db, High: db, Nominal: db, Gain: db, Ceiling: curve.Unknown[curve.Percent]()},
		Findings: []advise.Finding{
			{ID: advise.FieldClipped, Level: advise.Alarm, Text: "The sky clips in all channels."},
			{ID: advise.GreyWeak, Level: advise.Caution, Text: "No grey."}},
		Summary: "No grey was found, so there is no ground for a pull or a lift. " +
			"The recording hides the camera's noise; no figure is given. A large area (sky, window) is clipped: 4.1 " +
			"% of the frame."}
	return c
}

func plainClip(path string) Clip {
	stops := curve.Unknown[curve.Stops]()
	return Clip{
		File: File{Path: path, Bytes: 1 << 20, Container: "mov", Codec: "prores", Profile: "422 HQ",
			PixelFormat: "yuv422p10le",
			Bits:        10, Chroma: "4:2:2", Width: 1920, Height: 1080, FrameRate: 24000.0 / 1001, Frames: 96,
			Duration: 4.004,
			Timecode: "10:00:00:00"},
		Range: metadata.Value{Value: "narrow", Origin: "tag"}, Matrix: metadata.Value{Value: "bt709", Origin: "tag"},
		Curve:    Curve{Name: "S-Log3", Origin: "metadata", MidGrey: curve.Level{Code: 420, Percent: 40.639269}},
		Sampling: Sampling{Mode: Groups, Groups: 4, FramesMeasured: 32},
		Scene:    levels.Scene{Average: stops, P1: stops, P10: stops, P50: stops, P90: stops, P99: stops},
		Variation: variation.Result{Drift: stops, Step: stops, StepAt: curve.Unknown[curve.Seconds](), Flicker: stops,
			FlickerHz: curve.Unknown[curve.Ratio]()},
		Highlights: clipping.Result{Headroom: stops, Brightest: stops, SoftShare: curve.Unknown[curve.Share](),
			Ceiling: clipping.Ceiling{Level: curve.Level{Code: 1019.6, Percent: 109.1}, Recorded: 5.9,
				Origin: clipping.Measured}},
	}
}

func day() *Document {
	return &Document{
		Schema: Schema, Tool: Tool{Name: "stopledger", Version: "0.0-test"},
		Settings: analyze.Settings{GreyFrom: placement.GreyFrom{Reflectance: 0.18, Grey: placement.Auto,
			Subject: placement.AnySubject}},
		Clips:    []Clip{overClip(), nominalClip(), skyClip()},
		Complete: true,
		Failed:   []Failure{{Path: "+quay/cut.mov", Error: "the file is cut off; copy it again"}},
	}
}
