package report

import (
	"math"
	"strings"
	"testing"
)

// advised is a clip with grey placed by a method and an advice.
func advised(method string, stops float64, action string, pull float64) Clip {
	return Clip{
		Placement: &Placement{Stops: stops, Low: stops - 0.02, High: stops + 0.02, Method: method, Percent: 54.9, Reflectance: 0.18},
		Advice:    Advice{Action: action, Stops: pull},
	}
}

func TestVerdict(t *testing.T) {
	const nothing = " Nothing clips."
	for _, test := range []struct {
		name string
		clip Clip
		edit func(*Clip)
		want string
	}{
		{"pull with everything", advised("card", 1.65, "pull", 1.65), func(c *Clip) {
			c.Advice.After = After{SNR: ptr(31.2), NominalSNR: ptr(22.4), GainDB: ptr(8.8)}
			c.Highlights.Headroom = ptr(2.1)
		}, "Grey card 1.65 stops over (54.9 %). Pull 1.65 stops before the display transform; shadows at -4 stops then carry 31 dB, " +
			"9 dB more than at nominal. Nothing clips; 2.1 stops of headroom."},
		{"lift", advised("chart", -1.2, "lift", 1.2), func(c *Clip) {
			c.Advice.After = After{SNR: ptr(14), GainDB: ptr(-7.6)}
		}, "Chart's grey 1.20 stops under (54.9 %). Lift 1.20 stops before the display transform; shadows at -4 stops then carry 14 dB, " +
			"8 dB less than at nominal." + nothing},
		{"wide interval, one digit", advised("region", 0.66, "pull", 0.66), func(c *Clip) {
			c.Placement.Low, c.Placement.High = 0.5, 0.8
		}, "Grey in the region 0.7 stops over (54.9 %). Pull 0.7 stops before the display transform." + nothing},
		{"patch of another reflectance", advised("region", 0.66, "pull", 0.66), func(c *Clip) { c.Placement.Reflectance = 0.5 },
			"Grey in the region 0.66 stops over (its patch of 50 % reflectance at 54.9 %). Pull 0.66 stops before the display transform." + nothing},
		{"face", advised("face", 0.66, "pull", 0.66), func(c *Clip) { c.Placement.Reflectance = 0.36 },
			"Grey judged by the face 0.66 stops over (skin, taken for 36 % reflectance, at 54.9 %). Pull 0.66 stops before the display transform." + nothing},
		{"a pull that rounds to nothing is a hold", advised("card", 0.04, "pull", 0.04), func(c *Clip) {
			c.Placement.Low, c.Placement.High = -0.1, 0.2
			c.Advice.After.SNR = ptr(22)
		}, "Grey card at nominal (54.9 %). Hold: no pull or lift is needed; shadows at -4 stops carry 22 dB." + nothing},
		{"hold near nominal", advised("card", 0.06, "hold", 0), func(c *Clip) {
			c.Advice.After = After{SNR: ptr(22), GainDB: ptr(0.3)}
		}, "Grey card 0.06 stops over (54.9 %). Hold: no pull or lift is needed; shadows at -4 stops carry 22 dB, as much as at nominal." + nothing},
		{"unknown advice is no pull", advised("card", 1, "", 1), nil, "Grey card 1.00 stops over (54.9 %). Hold: no pull or lift is needed." + nothing},
		{"advice without a number", advised("card", 1, "pull", math.NaN()), nil, "Grey card 1.00 stops over (54.9 %). Hold: no pull or lift is needed." + nothing},

		{"no placement", Clip{Advice: Advice{Action: "hold"}}, nil,
			"No grey was found, so there is no ground for a pull or a lift." + nothing},
		{"placement that is no number", advised("card", math.NaN(), "hold", 0), func(c *Clip) { c.Placement = nil },
			"No grey was found, so there is no ground for a pull or a lift." + nothing},
		{"weak scene", advised("scene", -2.1, "hold", 0), func(c *Clip) {
			c.Placement.Weak, c.Placement.Low, c.Placement.High = true, -3, -1
			c.Advice.After.SNR = ptr(12)
		}, "Scene average 2.1 stops under (54.9 %), weak evidence of where grey is. No pull or lift is advised on that alone." + nothing},
		{"weak face that is asked to be the ground", advised("face", 0.8, "pull", 0.8), func(c *Clip) { c.Placement.Weak = true },
			"Grey judged by the face 0.80 stops over (54.9 %), weak evidence of where grey is. Pull 0.80 stops before the display transform." + nothing},
		{"carried", advised("card", 1.65, "pull", 1.65), func(c *Clip) { c.Placement.Carried = "day/take1.mov" },
			"Grey carried from take1.mov 1.65 stops over (54.9 %). Pull 1.65 stops before the display transform." + nothing},
		{"percent that is no number", advised("card", 1, "pull", 1), func(c *Clip) { c.Placement.Percent = math.NaN() },
			"Grey card 1.00 stops over. Pull 1.00 stops before the display transform." + nothing},
		{"method not known here", advised("lamp", 1, "pull", 1), nil,
			"Grey 1.00 stops over (54.9 %). Pull 1.00 stops before the display transform." + nothing},
		{"assumed curve", advised("card", 1, "pull", 1), func(c *Clip) { c.Curve = Curve{Name: "V-Log", Assumed: true} },
			"Read as V-Log, an assumed curve on which every number rests. Grey card 1.00 stops over (54.9 %). Pull 1.00 stops before the display transform." + nothing},

		{"suppressed noise", advised("card", 1, "pull", 1), func(c *Clip) {
			c.Advice.After = After{SNR: ptr(40), GainDB: ptr(12)}
			c.Noise.Suppressed = true
		}, "Grey card 1.00 stops over (54.9 %). Pull 1.00 stops before the display transform. " +
			"The recorded noise understates the camera's, so no shadow figure is given." + nothing},
		{"no gain known", advised("card", 1, "pull", 1), func(c *Clip) { c.Advice.After.SNR = ptr(30) },
			"Grey card 1.00 stops over (54.9 %). Pull 1.00 stops before the display transform; shadows at -4 stops then carry 30 dB." + nothing},
		{"no noise known", advised("card", 1, "pull", 1), func(c *Clip) { c.Advice.After.GainDB = ptr(3) },
			"Grey card 1.00 stops over (54.9 %). Pull 1.00 stops before the display transform." + nothing},

		{"clipped field", advised("card", 1, "pull", 1), func(c *Clip) {
			c.Highlights = clipped(Area{Share: 0.041, Kind: "field"})
			c.Advice.After.CeilingDisplay = ptr(71.4)
		}, "Grey card 1.00 stops over (54.9 %). Pull 1.00 stops before the display transform. " +
			"Sky, window or the like clips, 4.1 % of the frame, and shows as a flat 71 % after the pull."},
		{"clipped field, held", advised("card", 0, "hold", 0), func(c *Clip) {
			c.Highlights = clipped(Area{Share: 0.041, Kind: "field"})
			c.Advice.After.CeilingDisplay = ptr(97)
		}, "Grey card at nominal (54.9 %). Hold: no pull or lift is needed. Sky, window or the like clips, 4.1 % of the frame."},
		{"clipped points", advised("card", 0, "hold", 0), func(c *Clip) {
			c.Highlights = clipped(Area{Share: 0.001, Kind: "points"}, Area{Share: 0.0002, Kind: "points"})
		}, "Grey card at nominal (54.9 %). Hold: no pull or lift is needed. Only points such as lamps or glints clip, 0.1 % of the frame."},
		{"clipped points with headroom for the rest", advised("card", 0, "hold", 0), func(c *Clip) {
			c.Highlights = clipped(Area{Share: 0.001, Kind: "points"})
			c.Highlights.Headroom = ptr(1.26)
		}, "Grey card at nominal (54.9 %). Hold: no pull or lift is needed. Only points such as lamps or glints clip, 0.1 % of the frame; " +
			"1.3 stops of headroom for the rest."},
		{"field and points", advised("card", 0, "hold", 0), func(c *Clip) {
			c.Highlights = clipped(Area{Share: 0.2, Kind: "field"}, Area{Share: 0.00001, Kind: "points"})
		}, "Grey card at nominal (54.9 %). Hold: no pull or lift is needed. Sky, window or the like clips, 20 % of the frame; " +
			"points such as lamps clip too, <0.1 %."},
		{"some channels", advised("card", 0, "hold", 0), func(c *Clip) {
			c.Highlights = clipped(Area{Share: 0.2, Kind: "field"})
			c.Highlights.Clipped.All = 0
		}, "Grey card at nominal (54.9 %). Hold: no pull or lift is needed. Sky, window or the like clips in some channels, 20 % of the frame."},
		{"clipped without areas", advised("card", 0, "hold", 0), func(c *Clip) { c.Highlights = clipped(); c.Highlights.Clipped.Any = 0.03 },
			"Grey card at nominal (54.9 %). Hold: no pull or lift is needed. Clips in 3.0 % of the frame."},
		{"frames lost", advised("card", 0, "hold", 0), func(c *Clip) { c.Sampling.FramesLost = 12 },
			"Grey card at nominal (54.9 %). Hold: no pull or lift is needed." + nothing + " 12 frames could not be decoded."},
		{"one frame lost", Clip{}, func(c *Clip) { c.Sampling.FramesLost = 1 },
			"No grey was found, so there is no ground for a pull or a lift." + nothing + " One frame could not be decoded."},
	} {
		if test.edit != nil {
			test.edit(&test.clip)
		}
		if got := Verdict(test.clip); got != test.want {
			t.Errorf("%s:\n got %s\nwant %s", test.name, got, test.want)
		}
	}
}

// clipped are highlights of areas, clipped in all channels.
func clipped(areas ...Area) Highlights {
	h := Highlights{Areas: areas, Clipped: Shares{All: 0.01}}
	for _, a := range areas {
		h.Clipped.Any += a.Share
	}
	return h
}

// Whatever is missing or not a number, the verdict says no NaN, no 0.0 over and no empty part.
func TestVerdictOfAnything(t *testing.T) {
	values := []*float64{nil, ptr(math.NaN()), ptr(math.Inf(1)), ptr(-0.04), ptr(1.2)}
	for _, stops := range values {
		for _, snr := range values {
			for _, action := range []string{"pull", "lift", "hold", ""} {
				for _, weak := range []bool{false, true} {
					c := Clip{Advice: Advice{Action: action, After: After{SNR: snr, GainDB: snr, CeilingDisplay: snr}}}
					c.Highlights.Headroom = snr
					if stops != nil {
						c.Placement = &Placement{Stops: *stops, Low: *stops - 1, High: *stops + 1, Percent: *stops, Weak: weak}
						c.Advice.Stops = *stops
					}
					got := Verdict(c)
					for _, bad := range []string{"NaN", "Inf", "  ", " .", "0.0 stops over", "Pull 0.0", "Lift 0.0", "-0", Absent + " "} {
						if strings.Contains(got, bad) {
							t.Fatalf("%q in: %s", bad, got)
						}
					}
				}
			}
		}
	}
}

func TestNeedsPerson(t *testing.T) {
	for levels, want := range map[string]bool{"": false, "note": false, "caution note": false, "note alarm caution": true} {
		var c Clip
		for _, l := range strings.Fields(levels) {
			c.Advice.Findings = append(c.Advice.Findings, Finding{Level: l})
		}
		if got := NeedsPerson(c); got != want {
			t.Errorf("%q: %v, want %v", levels, got, want)
		}
	}
}
