package curve

import "math"

// published is every curve we know, in the order shown to people. Parameters stand as the
// curve's paper writes them; a new curve is a row here and check values in testdata.
var published = []*Curve{
	{
		Name: "S-Log2", Convention: VideoScaled, Grade: Documented, Recorded: true,
		Source: Source{"S-Log2 Technical Paper", "Sony, V1.0, 6 June 2012"},
		Top:    959.0 / 876, // "maximum IRE 109.5 %", code 1023
		shape: scaled{0.9, logWithToe{
			base: 10, gain: 0.432699, in: 155.0 / 219, lift: 0.037584, offset: 0.616596 + 0.03,
			join: 0, toeGain: 3.53881278538813, toeOffset: 0.030001222851889303,
		}.shape()},
	},
	{
		Name: "S-Log3", Convention: DataCodes, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3", "Sony, V1.00"},
		Limit:  Limit{94, Source{"Support article 00145909", "Sony"}},
		Note:   "Recordings end at a 94 % level, 6.0 stops over grey (Sony support article 00145909).",
		shape: logWithToe{
			base: 10, gain: 261.5 / 1023, in: 1 / 0.19, lift: 0.01 / 0.19, offset: 420.0 / 1023,
			join: 0.01125, toeGain: (171.2102946929 - 95) / 0.01125 / 1023, toeOffset: 95.0 / 1023,
		}.shape(),
	},
	{
		Name: "LogC3", Also: []string{"Log C", "ALEXA Log C"},
		Convention: VideoScaled, Grade: Documented, Recorded: true,
		Source: Source{"ALEXA Log C Curve - Usage in VFX", "ARRI, 2012, SUP 3.x, linear scene exposure factor"},
		Note: "The curve depends on the exposure index. " +
			"A recording may also be full range: grey is code 400 there, 406.5 in narrow range.",
		indexes: &indexes{allowed: logC3Indexes, usual: 800, build: logC3},
	},
	{
		Name: "LogC4", Convention: VideoScaled, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"ARRI LogC4 Logarithmic Color Space SPECIFICATION", "ARRI, 12 May 2023"},
		Note:   "The curve is the same at every exposure index; the sensor's clip on it is not.",
		shape:  logC4(),
	},
	{
		Name: "V-Log", Convention: DataCodes, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"V-Log/V-Gamut REFERENCE MANUAL", "Panasonic, Rev.1.0, 28 November 2014"},
		shape: logWithToe{
			base: 10, gain: 0.241514, in: 1, lift: 0.00873, offset: 0.598206,
			join: 0.01, toeGain: 5.6, toeOffset: 0.125,
		}.shape(),
	},
	{
		Name: "Canon Log", Also: []string{"C-Log"},
		Convention: DataCodes, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"CANON-LOG TRANSFER CHARACTERISTIC", "Canon, 20 June 2012; constants of v1.2"},
		shape: scaled{0.9, twoSidedLog{
			gain: 0.45310179, in: 10.1596, offsetBelow: 0.12512248, offsetAbove: 0.12512248,
		}.shape()},
	},
	{
		Name: "Canon Log 2", Also: []string{"C-Log 2"},
		Convention: DataCodes, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"Input Transform Version 202007 for EOS C300 Mark II", "Canon, 2020; constants of v1.2"},
		shape: scaled{0.9, twoSidedLog{
			gain: 0.24136077, in: 87.09937546, offsetBelow: 0.092864125, offsetAbove: 0.092864125,
		}.shape()},
	},
	{
		Name: "Canon Log 3", Also: []string{"C-Log 3"},
		Convention: DataCodes, Grade: Inferred, Recorded: true, Top: 1,
		Source: Source{"Input Transform Version 202007 for EOS C300 Mark II", "Canon, 2020; constants of v1.2"},
		shape: scaled{0.9, twoSidedLog{
			gain: 0.36726845, in: 14.98325, offsetBelow: 0.12783901, offsetAbove: 0.12240537,
			toe: 0.014, toeGain: 1.9754798, toeOffset: 0.12512219,
		}.shape()},
	},
	{
		Name: "Log3G10", Convention: VideoScaled, Grade: Inferred, Recorded: true, Top: 1,
		Source: Source{"White Paper on REDWideGamutRGB and Log3G10", "RED, 2017"},
		Note:   "The curve is the same at every ISO.",
		shape: logWithToe{
			base: 10, gain: 0.224282, in: 155.975327, lift: 155.975327*0.01 + 1, offset: 0,
			join: -0.01, toeGain: 15.1927, toeOffset: 15.1927 * 0.01,
		}.shape(),
	},
	{
		Name: "F-Log", Convention: DataCodes, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"F-Log Data Sheet", "Fujifilm, Ver.1.1, 2022"},
		shape: logWithToe{
			base: 10, gain: 0.344676, in: 0.555556, lift: 0.009468, offset: 0.790453,
			join: 0.00089, toeGain: 8.735631, toeOffset: 0.092864,
		}.shape(),
	},
	{
		Name: "F-Log2", Also: []string{"F-Log2 C"},
		Convention: DataCodes, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"F-Log2 Data Sheet", "Fujifilm, Ver.1.0, 2022"},
		shape: logWithToe{
			base: 10, gain: 0.245281, in: 5.555556, lift: 0.064829, offset: 0.384316,
			join: 0.000889, toeGain: 8.799461, toeOffset: 0.092864,
		}.shape(),
	},
	{
		Name: "N-Log", Convention: DataCodes, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"N-Log Specification Document", "Nikon, Version 1.0.0, 1 September 2018"},
		shape: join(
			power{gain: 650.0 / 1023, in: 1, lift: 0.0075, exponent: 1.0 / 3, offset: 0},
			span{fromX: 0.328, Shape: logarithm{math.E, 150.0 / 1023, 1, 0, 619.0 / 1023}}),
	},
	{
		Name: "L-Log", Convention: DataCodes, Grade: Open, Recorded: true, Top: 1,
		Source: Source{"L-Log Reference Manual", "Leica, 1.0 to 1.4, 2021 to 2023"},
		Note:   "Nothing seen says whether its codes are data or video levels; data is assumed. At grey the two agree.",
		shape: logWithToe{
			base: 10, gain: 0.27, in: 1.3, lift: 0.0115, offset: 0.6,
			join: 0.006, toeGain: 8, toeOffset: 0.09,
		}.shape(),
	},
	{
		Name: "D-Log", Convention: DataCodes, Grade: Inferred, Recorded: true, Top: 1,
		Source: Source{"White Paper on D-Log and D-Gamut of DJI Cinema Color System",
			"DJI, 2017; constants as ACES CSC.DJI.DLog_DGamut_to_ACES has them"},
		Note: "D-Log M and later variants are other curves.",
		shape: logWithToe{
			base: 10, gain: 0.256663, in: 0.9892, lift: 0.0108, offset: 0.584555,
			join: 0.0078, toeGain: 6.025, toeOffset: 0.0929,
		}.shape(),
	},
	{
		Name: "Apple Log", Convention: VideoScaled, Grade: Inferred, Recorded: true, Top: 1,
		Source: Source{"Apple Log Profile White Paper",
			"Apple, 2023; constants as ACES IDT.Apple.AppleLog_BT2020 has them"},
		shape: appleLog(),
	},
	{
		Name: "Film Gen 5", Convention: VideoScaled, Grade: Inferred, Recorded: true, Top: 1,
		Source: Source{"Blackmagic Generation 5 Color Science", "Blackmagic Design, 2021"},
		shape: logWithToe{
			base: math.E, gain: 0.08692876065491224, in: 1, lift: 0.005494072432257808, offset: 0.5300133392291939,
			join: 0.005, toeGain: 8.283605932402494, toeOffset: 0.09246575342465753,
		}.shape(),
	},
	{
		Name: "HLG", Also: []string{"BT.2100 HLG"},
		Convention: VideoScaled, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"Recommendation ITU-R BT.2100-2", "2018, table 5"},
		Note:   "Scaled so that a 100 % reflector sits at 75 % (Report ITU-R BT.2408), grey at 38 %.",
		shape:  scaled{1 / hlgWhite, hlg()},
	},
	{
		Name: "PQ", Also: []string{"ST 2084", "BT.2100 PQ"},
		Convention: VideoScaled, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"SMPTE ST 2084:2014", "and Recommendation ITU-R BT.2100-2, table 4"},
		Note: "An assumption: PQ holds display light, and 18 % grey is taken to be shown at " +
			"26 cd/m2 (38 %, as in Report ITU-R BT.2408). Stops are stops on the display.",
		shape: scaled{MidGrey / (pqGrey / 10000), pq{}},
	},
	{
		Name: "BT.709", Also: []string{"Rec.709", "ITU-R BT.709"},
		Convention: VideoScaled, Grade: Documented, Recorded: true, Top: 1,
		Source: Source{"Recommendation ITU-R BT.709-6", "2015, section 1.2"},
		Note:   "Cameras bend its top (knee) and seldom keep to it exactly: readings well over grey are doubtful.",
		shape: join(line{4.5, 0},
			span{fromX: 0.018, Shape: power{1.099, 1, 0, 0.45, -0.099}}),
	},
	{
		Name: "sRGB", Convention: VideoScaled, Grade: Documented, Recorded: false, Range: Full, Top: 1,
		Source: Source{"IEC 61966-2-1", "1999"},
		shape: join(line{12.92, 0},
			span{fromX: 0.0031308, Shape: power{1.055, 1, 0, 1 / 2.4, -0.055}}),
	},
	{
		Name: "BT.1886", Also: []string{"Gamma 2.4"},
		Convention: VideoScaled, Grade: Documented, Recorded: false, Top: 1,
		Source: Source{"Recommendation ITU-R BT.1886", "2011, annex 1, inverse with black 0 and white 1"},
		Note:   "Holds display light, not the camera's.",
		shape: join(hold{0, 0},
			span{fromX: 0, Shape: power{1, 1, 0, 1 / 2.4, 0}}),
	},
	{
		Name: "Cineon", Convention: DataCodes, Grade: Documented, Recorded: false, Top: 1,
		Source: Source{"OpenColorIO 2.1.2, built-in RED_REDLOGFILM", "black 95, white 685, 300 codes a decade"},
		Note: "Printing density of scanned film; code 685 is a 90 % white card. " +
			"The original note (Kodak, 1995) was not read.",
		shape: scaled{0.9, cineon()},
	},
	{
		Name: "ACEScc", Convention: VideoScaled, Grade: Open, Recorded: false, Range: Full, Top: acesCode(halfMax),
		Source: Source{"Academy S-2014-003, ACEScc", "2014"},
		shape:  acesCC(),
	},
	{
		Name: "ACEScct", Convention: VideoScaled, Grade: Open, Recorded: false, Range: Full, Top: acesCode(halfMax),
		Source: Source{"Academy S-2016-001, ACEScct", "2016"},
		shape: logWithToe{
			base: 2, gain: 1 / 17.52, in: 1, lift: 0, offset: 9.72 / 17.52,
			join: 0.0078125, toeGain: 10.5402377416545, toeOffset: 0.0729055341958355,
		}.shape(),
	},
	{
		Name: "DaVinci Intermediate", Convention: VideoScaled, Grade: Open, Recorded: false, Range: Full, Top: 1,
		Source: Source{"Wide Gamut Intermediate DaVinci Resolve", "Blackmagic Design, November 2020"},
		shape: logWithToe{
			base: 2, gain: 0.07329248, in: 1, lift: 0.0075, offset: 0.07329248 * 7,
			join: 0.00262409, toeGain: 10.44426855, toeOffset: 0,
		}.shape(),
	},
	{
		Name: "Linear", Convention: VideoScaled, Grade: Open, Recorded: false, Range: Full, Top: 1,
		Source: Source{"scene-linear light as it is", ""},
		shape:  line{1, 0},
	},
}

func init() {
	for _, c := range published {
		if c.indexes != nil {
			c.Index = c.indexes.usual
			c.shape, c.Top = c.indexes.build(c.Index)
		}
	}
}
