package report

import "math"

// The clips of an invented day on a river quay: what the tests of text, CSV, JSON and comparison
// print.

func ptr(v float64) *float64 { return &v }

// overClip is placed over nominal by a card, well measured.
func overClip() Clip {
	c := plainClip("quay/take9.mov")
	c.Placement = &Placement{Stops: 1.6512345678, Low: 1.63, High: 1.67, Method: "card", Confidence: ptr(0.93), Code: 545.2345678,
		Percent: 54.9, Reflectance: 0.18, Region: &Rect{900, 500, 120, 80}, DriftStops: ptr(0.02),
		Series: []StopsAt{{0, 1.64}, {4, 1.66}}}
	c.Camera = &Camera{ISO: ptr(800), ShutterS: ptr(1.0 / 8000), IrisF: ptr(2.8)}
	c.Noise = Noise{FloorStops: ptr(-9.12), Model: &Model{Read: 0.000312345678, Shot: 1.2345678e-5, ReadError: ptr(1e-6), ShotError: ptr(3e-8)},
		Tones: []Tone{tone(-6.2, 1.65, 24.8, 0.4), tone(-5.1, 1.65, 29.7, 0.3), tone(-4.1, 1.65, 33.2, 0.2), tone(-3.2, 1.65, 36.5, 0.2), tone(0.1, 1.65, 46.7, 0.5)}}
	c.Highlights = Highlights{Ceiling: Ceiling{Code: 1019.6, Percent: 109.1, RecordedStops: 5.9, Origin: "measured"}, Headroom: ptr(2.1)}
	c.Advice = Advice{Action: "pull", Stops: 1.6512, After: After{SNR: ptr(33.8), NominalSNR: ptr(27.2), GainDB: ptr(6.6)},
		Findings: []Finding{{ID: "grey-over", Level: "note", Text: "Grey is over nominal."}},
		Next:     NextTake{Stops: ptr(-1.65), Zebra: ptr(40.6)}}
	c.Advice.Summary = Verdict(c)
	return c
}

// tone is a tone at scene stops, recorded over nominal by placement, of an SNR with half an
// interval, in dB.
func tone(scene, placement, snr, half float64) Tone {
	return Tone{RecordedStops: scene + placement, SceneStops: &scene, SNR: &snr, Low: ptr(snr - half), High: ptr(snr + half), Cells: 100}
}

// nominalClip is the same scene at nominal, noisier and with more headroom.
func nominalClip() Clip {
	c := plainClip("quay/take10.mov")
	c.Placement = &Placement{Stops: 0.02, Low: -0.01, High: 0.05, Method: "card", Code: 421, Percent: 40.8, Reflectance: 0.18}
	c.Noise = Noise{FloorStops: ptr(-9.15), Model: &Model{Read: 0.00031, Shot: 1.23e-5, ReadError: ptr(2e-6), ShotError: ptr(4e-8)},
		Tones: []Tone{tone(-5.1, 0.02, 22.5, 0.4), tone(-4.1, 0.02, 26.9, 0.3), tone(-3.2, 0.02, 30.7, 0.2), tone(-0.1, 0.02, 41.2, 0.4)}}
	c.Highlights = Highlights{Ceiling: Ceiling{Code: 1019.6, Percent: 109.1, RecordedStops: 5.9, Origin: "measured"}, Headroom: ptr(3.7)}
	c.Advice = Advice{Action: "hold", Stops: 0.02, After: After{SNR: ptr(27.3), NominalSNR: ptr(27.2), GainDB: ptr(0.1)}}
	c.Advice.Summary = Verdict(c)
	return c
}

// skyClip has a clipped sky, no grey, and a name that would act on a terminal and a spreadsheet.
func skyClip() Clip {
	c := plainClip("=quay/\x1b[2Jsky, \"long\" name of a take that goes on and on.mov")
	c.Noise = Noise{Suppressed: true, SuppressedReason: "blocks repeat", FloorStops: ptr(-11)}
	c.Highlights = Highlights{Ceiling: Ceiling{Code: 1019.6, Percent: 109.1, RecordedStops: 5.9, Origin: "measured"},
		Clipped: Shares{0.04, 0.041, 0.0391, 0.0412345678, 0.0388},
		Areas:   []Area{{Rect: Rect{0, 0, 1920, 300}, Share: 0.041, Kind: "field", To: 4}}}
	c.Advice = Advice{Action: "hold", Findings: []Finding{
		{ID: "field-clipped", Level: "alarm", Text: "The sky clips in all channels."}, {ID: "grey-weak", Level: "caution", Text: "No grey."}}}
	c.Advice.Summary = Verdict(c)
	return c
}

func plainClip(path string) Clip {
	return Clip{Path: path, Bytes: 1 << 20, Container: "mov", Codec: "prores", Profile: "422 HQ", PixelFormat: "yuv422p10le", Bits: 10,
		Chroma: "4:2:2", Width: 1920, Height: 1080, FrameRate: 24000.0 / 1001, Frames: 96, DurationS: 4.004, Timecode: "10:00:00:00",
		Range: Origin{"narrow", "tag"}, Matrix: Origin{"bt709", "tag"},
		Curve:    Curve{Name: "S-Log3", Origin: "metadata", MidGrey: Level{420, 40.639269}},
		Sampling: Sampling{Mode: "groups", Groups: 4, FramesMeasured: 32}}
}

func day() Document {
	return Document{
		Schema: Schema, Tool: Tool{Name: "stopledger", Version: "0.0-test"},
		Settings: Settings{Curve: "auto", Range: "auto", Matrix: "auto", Reflectance: 0.18, Grey: "auto", Subject: "auto", Edition: "2005"},
		Clips:    []Clip{overClip(), nominalClip(), skyClip()},
		Failed:   []Failure{{Path: "+quay/cut.mov", Error: "the file is cut off; copy it again"}},
	}
}

// brokenDay has numbers that no writer may let through.
func brokenDay() Document {
	doc := day()
	c := &doc.Clips[0]
	c.Placement.Stops, c.FrameRate = math.NaN(), math.Inf(1)
	c.Noise.FloorStops, c.Advice.After.SNR = ptr(math.NaN()), ptr(math.Inf(-1))
	c.Highlights.Ceiling.Code = math.Inf(1)
	return doc
}
