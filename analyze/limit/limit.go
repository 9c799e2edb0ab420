// Package limit holds every limit that decides a finding or an action, in one file, each with its
// reason. A limit without a source is common practice. What an instrument needs to measure well
// (how many samples, how wide a bin) stands with the instrument; the detector's numbers stand in
// detect.Params.
package limit

import "stopledger/curve"

// Grey: when a placement earns a correction, and when it is pointed out.
const (
	// HoldWithin: a grader does not see a tenth of a stop, and a card is not known better.
	HoldWithin curve.Stops = 0.15
	// HoldInterval: where the whole interval lies as near to the target as this, what a correction
	// could be is not worth making.
	HoldInterval curve.Stops = 0.3
	// Disagree is by how much two pieces of evidence may say another exposure: light falls off by as
	// much over a set, and more is another light or no grey.
	Disagree curve.Stops = 0.3
	// Likely is the confidence from which a candidate counts as evidence against another, and is told
	// with the area that confirms it.
	Likely curve.Ratio = 0.5
	// Moves is the change of exposure within a clip (an iris pulled, a cloud) from which no single
	// correction fits all of it: at either end half of it is left, which is seen.
	Moves curve.Stops = 0.5
	// GreyNote: off target by half a stop is worth a word.
	GreyNote curve.Stops = 0.5
	// GreyCaution: over by more than exposing over nominal usually asks for, the card is doubtful
	// or the highlights pay.
	GreyCaution curve.Stops = 2.5
	// UnderCaution: shadows pay at once for light that was not there.
	UnderCaution curve.Stops = 0.3
	// UnderAlarm: two stops under nominal, shadows are in the noise.
	UnderAlarm curve.Stops = 2
	// Sure is the confidence from which evidence may be the ground for a correction: in random scenes
	// what is no card reaches 0.71, and cards mostly 0.95.
	Sure curve.Ratio = 0.75
	// PatchGap: a card's tilt and sheen alone move it by 0.1 to 0.3 stop; two areas of known
	// reflectance that differ by more than this put the curve in doubt.
	PatchGap curve.Stops = 0.25
)

// A grey card lies near the middle of the scene it was shot in. Where that is one surface, the middle
// is what that is: a card is sure down to LowerSure stops under it, as before a white wall (18 % to
// 60 % is 1.7 stops), and never taken LowerNever under it, where black cloth would be. Where it is of
// many surfaces, it lies at their usual 12 % to 18 % (12.7 % is what ISO 2720's K of 12.5 comes to): from
// DarkWeak under it, what is found is worth DarkWorth, still evidence against another card and no
// ground for a correction. Upward, where a lit card in the night lies, there is more room, but a panel
// between lamps lies there too.
const (
	LowerSure  curve.Stops = 1.7
	LowerNever curve.Stops = 3.2
	DarkSure   curve.Stops = 0.45
	DarkWeak   curve.Stops = 0.85
	DarkWorth  curve.Ratio = 0.6
	UpperSure  curve.Stops = 3
	UpperNever curve.Stops = 12
	// OneSurface, ManySurfaces are the standard deviations of a scene's tones up to which it is one
	// surface in uneven light, and from which it is of many: natural reflectances have 1.15 stops.
	OneSurface   curve.Stops = 0.65
	ManySurfaces curve.Stops = 0.85
	// OverSure, OverHalf: a card that is recorded so far over nominal grey may be a window or a lamp;
	// nobody exposes by more than OverSure over on purpose. From OverHalf on it is worth half.
	OverSure curve.Stops = 2.5
	OverHalf curve.Stops = 4.5
)

// A card is shown to be measured: it fills part of the picture. That it stays in its place proves
// nothing, as a roof, a window or a tile does too. From SmallSure of the picture on, an eighth of it
// each way, size speaks for a card; at SmallNever and below it is worth SmallWorth, less than what
// counts as evidence.
const (
	SmallNever curve.Share = 0.001 // of the picture
	SmallSure  curve.Share = 0.015
	SmallWorth curve.Ratio = 0.4
)

// SameSetting: a shutter of 1/48 s and 180 degrees at 23.976 frames a second differ by 0.1 %, and
// 1/48 from 1/50 by 4 %. Common practice, no source.
const SameSetting curve.Ratio = 0.01

// Noise.
const (
	// ThinSNR: noise of a tenth of the signal at scene -4 stops is plainly grainy.
	ThinSNR curve.Decibels = 20
	// DeadSNR: noise of a quarter of it only heavy noise reduction hides.
	DeadSNR curve.Decibels = 12
	// VisibleLightness: noise of one unit of CIE L* is plainly visible at 100 %.
	VisibleLightness curve.Ratio = 1
	// Shadow is the scene tone at which shadows are judged.
	Shadow curve.Stops = -4
)

// WantedSNR are the SNRs at Shadow for which the next take's placement is worked out.
var WantedSNR = []curve.Decibels{20, 26, 32}

// Signs that coding removed noise. White noise at half a code repeats a whole cell with a chance
// under 1e-21, so any real share of repeated cells condemns; growth with the lag, spread over the
// pairs and kurtosis betray blocks that are carried over between frames. The limits lie between
// what lossless and intra-coded noise showed and what long-GOP coding did to it (worked in
// testdata/noise.md).
const (
	Repeated curve.Share = 0.005
	Growth   curve.Ratio = 1.10
	Spread   curve.Ratio = 1.6
	Kurtosis curve.Ratio = 3.8
	// MovingGrowth is the growth with the lag, of cells with texture, from which the picture moves:
	// a pan of a twentieth of a pixel a frame gives 1.1 to 1.6 over seven frames (computed).
	MovingGrowth = 1.10
	// MovingExcess is by how much cells with texture differ more from frame to frame than those
	// without at the same level, where the picture moves quickly; noise reduction
	// that spares texture gives up to 3 (computed).
	MovingExcess = 6.0
	// MostCarried is the growth with the lag over which movement may be at work: a recursive filter
	// that keeps half of the frame before where nothing moves gives 1.5 to 1.9 (computed).
	MostCarried = 2.0
	// OnlyMotion is the growth over which it is movement and no filter: one that keeps nine tenths of
	// the frame before gives 5.2 over seven frames.
	OnlyMotion curve.Ratio = 8
	// FramesRepeated is the share of frames that repeat the one before from which no noise is told.
	FramesRepeated curve.Share = 0.6
	// FieldShift is by how many pixels the fields of a frame lie apart where the picture moved between them.
	FieldShift = 0.1
	// Coarse is the ratio of coarse to fine noise from which the finest is missing: sensors with a
	// colour filter array, resampled, show 1.8 to 2.13 (computed).
	Coarse curve.Ratio = 2.2
	// CoarseCoded is Coarse where lossy coding takes of the finest too, as up to 2.8 (computed).
	CoarseCoded curve.Ratio = 3
	// CoarseProRes is CoarseCoded of ProRes, which takes less of it: up to 2.3 is left (computed).
	CoarseProRes curve.Ratio = 2.4
	// KurtosisReduced is that of differences, 2.8 to 3.5 of sensors, where a filter that spares edges
	// takes noise here and leaves it there.
	KurtosisReduced curve.Ratio = 3.6
)

// Highlights.
const (
	// FieldShare: a sky or a window is larger than three thousandths of the frame, a lamp smaller. What
	// counts lies in cells of which FieldFill is clipped.
	FieldShare curve.Share = 0.003
	// FieldFill is how much of a cell is clipped in a field; lamps and glints leave most of theirs
	// unclipped.
	FieldFill curve.Share = 0.5
	// FieldAlarm: nothing brings back a tenth of the frame.
	FieldAlarm curve.Share = 0.10
	// HueShare is the part of a field with channels left from which colour shifts show.
	HueShare curve.Share = 0.25
	// ChannelGap is the share of the frame clipped in one channel while another holds.
	ChannelGap curve.Share = 0.01
	// GreyCeiling: below this display signal a clipped field no longer passes for white.
	GreyCeiling curve.Percent = 92
	// DisplayDarkGrey and DisplayBrightGrey: display transforms show 18 % grey between these signals, of
	// their white: ACES' output transforms for SDR and HDR at 30 to 46 %, BT.1886 of 18 % light at 49 %.
	DisplayDarkGrey   curve.Percent = 30
	DisplayBrightGrey curve.Percent = 55
	// DisplayFlat and DisplaySteep: nor do they show a stop around grey as less or more than this, of
	// their white; those above are between 9 and 18 %.
	DisplayFlat  curve.Percent = 5
	DisplaySteep curve.Percent = 27
	// DisplayVeil: no light at all shows no further over a display transform's black than this; in a table of
	// 17 points to the edge those above come to 8 %.
	DisplayVeil curve.Percent = 9
	// DisplayToe: tones at this many stops from grey are told from black; those above begin at -5.6.
	DisplayToe curve.Stops = -4
	// SoftLeast is the share of the frame just below the ceiling from which light crowds there.
	SoftLeast curve.Share = 0.005
	// Margin is the one reserve kept under the ceiling on the next take.
	Margin curve.Stops = 0.3
	// LeastCeiling is how far over nominal grey cameras clip, at the least: a speed found by saturation leaves
	// 78/10 of the exposure of grey, half a stop over a white diffuser (ISO 12232, from memory).
	LeastCeiling curve.Stops = 2.95
	// UnseenCeiling is how far a camera may end below its curve where neither the clip nor anything
	// published shows it: S-Log3 recordings end 1.7 stops below the curve's end.
	UnseenCeiling curve.Stops = 2
)

// Variation over a clip.
const (
	Drift   curve.Stops = 0.10 // over the clip: a tenth is not seen
	Step    curve.Stops = 0.15 // between two groups
	Flicker curve.Stops = 0.02 // peak to peak
	// FlickerShare is how much of the frame-to-frame variation the mains ripple must explain.
	FlickerShare curve.Share = 0.6
)

// How the file was read.
const (
	// Outside is the share of the picture outside narrow range from which a narrow tag is doubted;
	// EBU R 103 lets 1 % lie outside. Codes up to 1019 belong to it: cameras record whites there
	// (109 %), and EBU R 103 is about delivery.
	Outside curve.Share = 0.01
	// LowBlack is the code that a curve's black must lie above for levels below it to say anything:
	// at 64, where most curves have it, footroom and noise lie below it too.
	LowBlack curve.Code = 72
	// Empty is the share of codes between the lowest and the highest seen that must be missing
	// for the recording to count as shallower than its file.
	Empty curve.Share = 0.7
	// LeastSpan is how many codes of the file must lie between the lowest and the highest.
	LeastSpan = 64
)

// Takes.
const (
	// LittleMore is the share of the frame a take may lose to the ceiling beyond another and still
	// count as losing no more: half a percent is some lamps.
	LittleMore curve.Share = 0.005
	// CeilingKnown is half the 95 % interval of a ceiling that was seen: three codes where a stop has
	// about eighty. Common practice, no source.
	CeilingKnown curve.Stops = 0.04
	// BrightestKnown is half the 95 % interval of the brightest content: a percentile of what moves
	// in and out of the picture. Common practice, no source.
	BrightestKnown curve.Stops = 0.1
	// ShareKnown is half the 95 % interval of a clipped share where none is measured.
	ShareKnown curve.Share = 0.02
	// ProfileOff is by how much a clip's highlights may contradict a camera's profile: white balance and the
	// percentile that stands for the brightest content move them by as much. Common practice, no source.
	ProfileOff curve.Stops = 0.25
	// SameSize and SamePlace tell the same card in two takes: its sides differ by no more than this
	// factor, and it lies no further off than so many of them.
	SameSize  curve.Ratio = 1.5
	SamePlace curve.Ratio = 2
	// WorthChoice is the least difference of SNR that is worth a choice.
	WorthChoice curve.Decibels = 1
	// SameContent is the correlation of two pictures' detail from which they show the same: by chance, at
	// the best of all shifts and sizes, it reached 0.56 in random scenes, where the same ones had 0.71 at least.
	SameContent curve.Ratio = 0.6
	// OtherContent is the share of the detail that two pictures have in common under which they show different
	// scenes: takes of one scene, in another framing too, had 0.4 at least, different scenes 0.26 at most.
	OtherContent curve.Ratio = 0.3
	// SameLight is how far parts of two pictures may differ beyond their exposure, as standard deviation:
	// beyond it the light has changed, and no one offset brings one to the other.
	SameLight curve.Stops = 0.25
)
