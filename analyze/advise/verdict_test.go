package advise

import (
	"math"
	"strings"
	"testing"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/decode/geometry"
)

// A worded clip is what a verdict puts in words.
type worded struct {
	Facts
	Advice
}

// wordedClip has grey placed by a method, and an advice. Nothing else is known of it.
func wordedClip(method placement.Method, stops curve.Stops, action Action, by curve.Stops) worded {
	w := unknownClip()
	w.Placement = &placement.Placement{Stops: stops, Low: stops - 0.02, High: stops + 0.02, Method: method, Percent: 54.9,
		Reflectance: 0.18}
	w.Action, w.Stops = action, by
	return w
}

func unknownClip() worded {
	db := curve.Unknown[curve.Decibels]()
	w := worded{Facts: Facts{Noise: &noise.Result{}, Clipping: &clipping.Result{Headroom: curve.Unknown[curve.Stops]()}}}
	w.After = After{SNR: db, Low: db, High: db, Nominal: db, Gain: db, Ceiling: curve.Unknown[curve.Percent]()}
	w.Action = None
	return w
}

// clip clips areas, in all channels.
func (w *worded) clip(areas ...clipping.Area) {
	w.Clipping.Areas, w.Clipping.Clipped.All = areas, 0.01
	for _, a := range areas {
		w.Clipping.Clipped.Any += a.Share
	}
}

// after sets the SNR after the correction and the gain.
func (w *worded) after(snr, gain curve.Decibels) { w.After.SNR, w.After.Gain = snr, gain }

const (
	nothing = " Nothing clips."
	grey1   = "Grey card 1.00 stops over (54.9 %). "
	pull1   = "Pull 1.00 stops before the display transform"
	held    = "Grey card at nominal (54.9 %). Hold: no pull or lift is needed."
	settle  = "No pull or lift is advised until that is settled."
	unfound = "No grey was found, so there is no ground for a pull or a lift."
)

var nan = math.NaN()

func card1() worded     { return wordedClip(placement.Card, 1, Pull, 1) }
func cardHeld() worded  { return wordedClip(placement.Card, 0, Hold, 0) }
func region066() worded { return wordedClip(placement.Region, 0.66, Pull, 0.66) }

// A wording is a clip and its verdict.
type wording struct {
	name string
	clip worded
	edit func(*worded)
	want string
}

// greyWordings are of where grey landed and what to do.
var greyWordings = []wording{
	{"pull with everything", wordedClip(placement.Card, 1.65, Pull, 1.65), func(w *worded) {
		w.after(31.2, 8.8)
		w.Clipping.Headroom = 2.1
	}, "Grey card 1.65 stops over (54.9 %). Pull 1.65 stops before the display transform; signal-to-noise 4 " +
		"stops under grey " +
		"is then 31 dB, 9 dB better than exposed at nominal. Nothing clips; 2.1 stops of headroom."},
	{"lift", wordedClip(placement.Chart, -1.2, Lift, 1.2), func(w *worded) { w.after(14, -7.6) },
		"Chart's grey 1.20 stops under (54.9 %). Lift 1.20 stops before the display transform; signal-to-noise 4 " +
			"stops under grey " +
			"is then 14 dB, 8 dB worse than exposed at nominal." + nothing},
	{"wide interval, one digit", region066(), func(w *worded) { w.Placement.Low, w.Placement.High = 0.5, 0.8 },
		"Grey in the region 0.7 stops over (54.9 %). Pull 0.7 stops before the display transform." + nothing},
	{"patch of another reflectance", region066(), func(w *worded) { w.Placement.Reflectance = 0.5 },
		"Grey in the region 0.66 stops over (its patch of 50 % reflectance at 54.9 %). " +
			"Pull 0.66 stops before the display transform." + nothing},
	{"face", wordedClip(placement.Face, 0.66, Pull, 0.66), func(w *worded) { w.Placement.Reflectance = 0.36 },
		"Grey judged by the face 0.66 stops over (skin, taken for 36 % reflectance, at 54.9 %). " +
			"Pull 0.66 stops before the display transform." + nothing},
	{"a pull that rounds to nothing is a hold", wordedClip(placement.Card, 0.04, Pull, 0.04), func(w *worded) {
		w.Placement.Low, w.Placement.High = -0.1, 0.2
		w.After.SNR = 22
	}, "Grey card at nominal (54.9 %). Hold: no pull or lift is needed; signal-to-noise 4 stops under grey is " +
		"22 dB." + nothing},
	{"hold near nominal", wordedClip(placement.Card, 0.06, Hold, 0), func(w *worded) { w.after(22, 0.3) },
		"Grey card 0.06 stops over (54.9 %). Hold: no pull or lift is needed; signal-to-noise 4 stops under grey is 22 dB, " +
			"the same as exposed at nominal." + nothing},
	{"unknown advice is no pull", wordedClip(placement.Card, 1, "", 1), nil,
		grey1 + settle + nothing},
	{"advice without a number", wordedClip(placement.Card, 1, Pull, curve.Stops(nan)), nil, grey1 + settle + nothing},
	{"a doubt comes first", wordedClip(placement.Card, 1, None, 0), func(w *worded) {
		w.Findings = []Finding{{Step, Caution, "A step."}, {CurveDoubt, Caution, "Another curve?"},
			{RangeDoubt, Alarm, "Another range!"}, {TagDoubt, Alarm, "Tags differ."}}
	}, "Another range! " + grey1 + settle + nothing},
	{"a note is no doubt", card1(), func(w *worded) { w.Findings = []Finding{{CurveDoubt, Note, "Unsaid."}} },
		grey1 + pull1 + "." + nothing},
	{"weak card", wordedClip(placement.Card, 1, None, 0), func(w *worded) {
		w.Placement.Weak, w.Placement.Region = true, &geometry.Rect{X: 10, Y: 20, W: 30, H: 40}
	}, grey1[:len(grey1)-2] + ", weak evidence of where grey is. No pull or lift is advised on that alone. " +
		"If it is one, say so with --region 10,20,30,40." + nothing},
	{"a card that was not sure enough", wordedClip(placement.Scene, 1, None, 0), func(w *worded) {
		w.Placement.Weak = true
		w.Placement.Candidates = []placement.Candidate{
			{Method: placement.Card, Stops: -0.001, Confidence: 0.55, Region: &geometry.Rect{X: 1, Y: 2, W: 3, H: 4}},
			{Method: placement.Card, Stops: 3, Confidence: 0.4}, {Method: placement.Face, Confidence: 0.9}}
	}, "Scene average 1.00 stops over (54.9 %), weak evidence of where grey is. No pull or lift is advised on that " +
		"alone. What may be a card reads +0.00 stops: if it is one, say so with --region 1,2,3,4." + nothing},
	{"no placement", unknownClip(), nil, unfound + nothing},
	{"weak scene", wordedClip(placement.Scene, -2.1, None, 0), func(w *worded) {
		w.Placement.Weak, w.Placement.Low, w.Placement.High = true, -3, -1
		w.After.SNR = 12
	}, "Scene average 2.1 stops under (54.9 %), weak evidence of where grey is. " +
		"No pull or lift is advised on that alone." + nothing},
	{"weak face that is asked to be the ground", wordedClip(placement.Face, 0.8, Pull, 0.8),
		func(w *worded) { w.Placement.Weak = true },
		"Grey judged by the face 0.80 stops over (54.9 %), weak evidence of where grey is. " +
			"Pull 0.80 stops before the display transform." + nothing},
	{"carried", wordedClip(placement.Card, 1.65, Pull, 1.65), func(w *worded) { w.Placement.Carried = "day/take1.mov" },
		"Grey carried from take1.mov 1.65 stops over (54.9 %). Pull 1.65 stops before the display transform." + nothing},
	{"percent that is no number", card1(), func(w *worded) { w.Placement.Percent = curve.Percent(nan) },
		"Grey card 1.00 stops over. " + pull1 + "." + nothing},
	{"placement that is no number", wordedClip(placement.Card, curve.Stops(nan), Hold, 0),
		func(w *worded) { w.Placement = nil }, unfound + nothing},
	{"method not known here", wordedClip("lamp", 1, Pull, 1), nil,
		"Grey 1.00 stops over (54.9 %). " + pull1 + "." + nothing},
	{"assumed curve", card1(), func(w *worded) { w.Reading.Curve, w.Assumed = &curve.Curve{Name: "V-Log"}, true },
		"Read as V-Log, an assumed curve on which every number rests. " + grey1 + pull1 + "." + nothing},
}

// noiseWordings are of what shadows carry, and of frames lost.
var noiseWordings = []wording{
	{"suppressed noise", card1(), func(w *worded) {
		w.after(40, 12)
		w.Noise.Suppressed = true
	}, grey1 + pull1 + ". The recording hides the camera's noise; no figure given." + nothing},
	{"noise that cannot be measured", card1(), func(w *worded) {
		w.after(40, 12)
		w.Noise.Unmeasured = "the picture moves"
	}, grey1 + pull1 + ". The noise cannot be measured; no figure is given." + nothing},
	{"no gain known", card1(), func(w *worded) { w.After.SNR = 30 },
		grey1 + pull1 + "; signal-to-noise 4 stops under grey is then 30 dB." + nothing},
	{"no noise known", card1(), func(w *worded) { w.After.Gain = 3 }, grey1 + pull1 + "." + nothing},
	{"frames lost", cardHeld(), func(w *worded) { w.Lost = 12 }, held + nothing + " 12 frames could not be decoded."},
	{"one frame lost", unknownClip(), func(w *worded) { w.Lost = 1 },
		unfound + nothing + " One frame could not be decoded."},
}

// clippedWordings are of what clipped.
var clippedWordings = []wording{
	{"headroom to the curve's end", cardHeld(), func(w *worded) {
		w.Clipping.Headroom, w.Clipping.Ceiling.Origin = 2.66, clipping.CurveEnd
	}, held + " Nothing clips; at most 2.7 stops of headroom."},
	{"undecided", cardHeld(), func(w *worded) { w.Clipping.Undecided = true },
		held + " The highlights may be clipped: the recording does not tell."},
	{"clipped field", card1(), func(w *worded) {
		w.clip(field(0.041, 0))
		w.After.Ceiling = 71.4
	}, grey1 + pull1 + ". A large area (sky, window) is clipped: 4.1 % of the frame, and shows as a flat 71 % " +
		"after the pull."},
	{"clipped field, held", cardHeld(), func(w *worded) {
		w.clip(field(0.041, 0))
		w.After.Ceiling = 97
	}, held + " A large area (sky, window) is clipped: 4.1 % of the frame."},
	{"clipped points", cardHeld(), func(w *worded) { w.clip(points(0.001), points(0.0002)) },
		held + " Only specular highlights clip, 0.1 % of the frame."},
	{"clipped points with headroom for the rest", cardHeld(), func(w *worded) {
		w.clip(points(0.001))
		w.Clipping.Headroom = 1.26
	}, held + " Only specular highlights clip, 0.1 % of the frame; 1.3 stops of headroom for the rest."},
	{"field and points", cardHeld(), func(w *worded) { w.clip(field(0.2, 0), points(0.00001)) },
		held + " A large area (sky, window) is clipped: 20 % of the frame; specular highlights clip too, <0.1 %."},
	{"some channels", cardHeld(), func(w *worded) {
		w.clip(field(0.2, 0))
		w.Clipping.Clipped.All = 0
	}, held + " A large area (sky, window) is clipped in some channels: 20 % of the frame."},
	{"points in some channels", cardHeld(), func(w *worded) {
		w.clip(points(0.002))
		w.Clipping.Clipped.All = 0
	}, held + " Only specular highlights clip in some channels, 0.2 % of the frame."},
	{"clipped without areas", cardHeld(), func(w *worded) {
		w.clip()
		w.Clipping.Clipped.Any = 0.03
	}, held + " Clipped: 3.0 % of the frame."},
	{"some channels without areas", cardHeld(), func(w *worded) { w.Clipping.Clipped.Any = 0.03 },
		held + " Clipped in some channels: 3.0 % of the frame."},
}

func TestSummary(t *testing.T) {
	for _, test := range [][]wording{greyWordings, noiseWordings, clippedWordings} {
		for _, w := range test {
			if w.edit != nil {
				w.edit(&w.clip)
			}
			if got := summary(w.clip.Facts, w.clip.Advice); got != w.want {
				t.Errorf("%s:\n got %s\nwant %s", w.name, got, w.want)
			}
		}
	}
}

// TestSummaryOfAnything: whatever is missing or not a number, the verdict says no NaN, no 0.0 over
// and no empty part.
func TestSummaryOfAnything(t *testing.T) {
	values := []float64{nan, math.Inf(1), -0.04, 1.2}
	for _, stops := range append(values, 99) {
		for _, known := range values {
			for _, action := range []Action{Pull, Lift, Hold, None, ""} {
				for _, weak := range []bool{false, true} {
					w := wordedClip(placement.Card, curve.Stops(stops), action, curve.Stops(stops))
					w.Placement.Low, w.Placement.High = w.Placement.Stops-1, w.Placement.Stops+1
					w.Placement.Weak, w.Placement.Percent = weak, curve.Percent(stops)
					w.after(curve.Decibels(known), curve.Decibels(known))
					w.After.Ceiling, w.Clipping.Headroom = curve.Percent(known), curve.Stops(known)
					if stops == 99 {
						w.Placement, w.Stops = nil, 0
					}
					checkWording(t, summary(w.Facts, w.Advice))
				}
			}
		}
	}
}

func checkWording(t *testing.T, got string) {
	t.Helper()
	for _, bad := range []string{"NaN", "Inf", "  ", " .", "0.0 stops over", "Pull 0.0", "Lift 0.0", "-0",
		curve.Absent + " "} {
		if strings.Contains(got, bad) {
			t.Errorf("%q in: %s", bad, got)
		}
	}
}
