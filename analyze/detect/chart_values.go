package detect

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// An Edition of the 24-patch colour rendition chart. The published values differ a little; no
// patch of any is exactly 18 %.
type Edition int

const (
	// Edition2005 is the set of 2005, measured under D50. The zero value.
	Edition2005 Edition = iota
	// Edition1976 is the original: C. S. McCamy, H. Marcus, J. G. Davidson, "A Color-Rendition
	// Chart", Journal of Applied Photographic Engineering 2 (1976), under illuminant C.
	Edition1976
	// EditionNov2014 holds for charts made after November 2014, published as L*a*b* under D50.
	EditionNov2014
)

// String returns the year, or from when on.
func (e Edition) String() string {
	switch e {
	case Edition1976:
		return "1976"
	case EditionNov2014:
		return "after November 2014"
	}
	return "2005"
}

// editions lists them all.
var editions = []Edition{Edition2005, Edition1976, EditionNov2014}

// editionYears are the names that settings give the editions, in order.
var editionYears = [...]string{Edition2005: "2005", Edition1976: "1976", EditionNov2014: "2014"}

// MarshalText writes the year that names an edition in settings: 2005, 1976 or 2014.
func (e Edition) MarshalText() ([]byte, error) {
	if e < 0 || int(e) >= len(editionYears) {
		return nil, fmt.Errorf("there is no edition %d of the chart", int(e))
	}
	return []byte(editionYears[e]), nil
}

// UnmarshalText reads what MarshalText writes.
func (e *Edition) UnmarshalText(text []byte) error {
	i := slices.Index(editionYears[:], string(text))
	if i < 0 {
		return fmt.Errorf("no edition of the chart is named %q; use %s", text, strings.Join(editionYears[:], ", "))
	}
	*e = Edition(i)
	return nil
}

// patchNames run by rows of six from dark skin, top left, to black, bottom right.
var patchNames = [24]string{
	"dark skin", "light skin", "blue sky", "foliage", "blue flower", "bluish green",
	"orange", "purplish blue", "moderate red", "purple", "yellow green", "orange yellow",
	"blue", "green", "red", "yellow", "magenta", "cyan",
	"white 9.5", "neutral 8", "neutral 6.5", "neutral 5", "neutral 3.5", "black 2",
}

const (
	firstNeutral = 18 // index of the white patch; the five after it are neutral too
	neutral5     = 21
)

// published1976 and published2005 are x, y, Y; publishedNov2014 is L*, a*, b*. All as collected
// in the colour-science library's datasets "ColorChecker 1976", "ColorChecker 2005" and
// "ColorChecker24 - After November 2014" (commit 9d74314), 2 degree observer.
var (
	published1976 = [24][3]float64{
		{0.4002, 0.3504, 0.1005}, {0.3773, 0.3446, 0.3582}, {0.2470, 0.2514, 0.1933},
		{0.3372, 0.4220, 0.1329}, {0.2651, 0.2400, 0.2427}, {0.2608, 0.3430, 0.4306},
		{0.5060, 0.4070, 0.3005}, {0.2110, 0.1750, 0.1200}, {0.4533, 0.3058, 0.1977},
		{0.2845, 0.2020, 0.0656}, {0.3800, 0.4887, 0.4429}, {0.4729, 0.4375, 0.4306},
		{0.1866, 0.1285, 0.0611}, {0.3046, 0.4782, 0.2339}, {0.5385, 0.3129, 0.1200},
		{0.4480, 0.4703, 0.5910}, {0.3635, 0.2325, 0.1977}, {0.1958, 0.2519, 0.1977},
		{0.3101, 0.3163, 0.9001}, {0.3101, 0.3163, 0.5910}, {0.3101, 0.3163, 0.3620},
		{0.3101, 0.3163, 0.1977}, {0.3101, 0.3163, 0.0900}, {0.3101, 0.3163, 0.0313},
	}
	published2005 = [24][3]float64{
		{0.4316, 0.3777, 0.1008}, {0.4197, 0.3744, 0.3495}, {0.2760, 0.3016, 0.1836},
		{0.3703, 0.4499, 0.1325}, {0.2999, 0.2856, 0.2304}, {0.2848, 0.3911, 0.4178},
		{0.5295, 0.4055, 0.3118}, {0.2305, 0.2106, 0.1126}, {0.5012, 0.3273, 0.1938},
		{0.3319, 0.2482, 0.0637}, {0.3984, 0.5008, 0.4446}, {0.4957, 0.4427, 0.4357},
		{0.2018, 0.1692, 0.0575}, {0.3253, 0.5032, 0.2318}, {0.5686, 0.3303, 0.1257},
		{0.4697, 0.4734, 0.5981}, {0.4159, 0.2688, 0.2009}, {0.2131, 0.3023, 0.1930},
		{0.3469, 0.3608, 0.9131}, {0.3440, 0.3584, 0.5894}, {0.3432, 0.3581, 0.3632},
		{0.3446, 0.3579, 0.1915}, {0.3401, 0.3548, 0.0883}, {0.3406, 0.3537, 0.0311},
	}
	publishedNov2014 = [24][3]float64{
		{37.54, 14.37, 14.92}, {64.66, 19.27, 17.50}, {49.32, -3.82, -22.54},
		{43.46, -12.74, 22.72}, {54.94, 9.61, -24.79}, {70.48, -32.26, -0.37},
		{62.73, 35.83, 56.50}, {39.43, 10.75, -45.17}, {50.57, 48.64, 16.67},
		{30.10, 22.54, -20.87}, {71.77, -24.13, 58.19}, {71.51, 18.24, 67.37},
		{28.37, 15.42, -49.80}, {54.38, -39.72, 32.27}, {42.43, 51.05, 28.62},
		{81.80, 2.67, 80.41}, {50.63, 51.28, -14.12}, {49.57, -29.71, -28.32},
		{95.19, -1.03, 2.93}, {81.29, -0.57, 0.44}, {66.89, -0.75, -0.06},
		{50.76, -0.13, 0.14}, {35.63, -0.46, -0.48}, {20.64, 0.07, -0.46},
	}
)

// white points of the published sets, x and y.
var (
	whiteC   = [2]float64{0.31006, 0.31616}
	whiteD50 = [2]float64{0.34570, 0.35854}
)

// Luminance returns the published luminous reflectance Y, 0..1, of a patch, 0 for dark skin to
// 23 for black.
func (e Edition) Luminance(patch int) float64 { return e.xyz(patch)[1] }

// white returns the tristimulus values of the edition's illuminant.
func (e Edition) white() [3]float64 {
	if e == Edition1976 {
		return fromChromaticity(whiteC[0], whiteC[1], 1)
	}
	return fromChromaticity(whiteD50[0], whiteD50[1], 1)
}

// xyz returns the tristimulus values of a patch under the edition's illuminant.
func (e Edition) xyz(patch int) [3]float64 {
	switch e {
	case Edition1976:
		p := published1976[patch]
		return fromChromaticity(p[0], p[1], p[2])
	case EditionNov2014:
		return fromLab(publishedNov2014[patch], e.white())
	}
	p := published2005[patch]
	return fromChromaticity(p[0], p[1], p[2])
}

func fromChromaticity(x, y, luminance float64) [3]float64 {
	return [3]float64{x / y * luminance, luminance, (1 - x - y) / y * luminance}
}

// fromLab is the inverse of CIE L*a*b* (CIE 15, from memory).
func fromLab(lab, white [3]float64) [3]float64 {
	fy := (lab[0] + 16) / 116
	f := [3]float64{fy + lab[1]/500, fy, fy - lab[2]/200}
	var xyz [3]float64
	for i, t := range f {
		if cube := t * t * t; cube > 216.0/24389 {
			xyz[i] = white[i] * cube
		} else {
			xyz[i] = white[i] * (116*t - 16) * 27 / 24389
		}
	}
	return xyz
}

// toBT709 takes XYZ under D65 to linear R, G, B (Recommendation ITU-R BT.709-6, 1.3 and 1.4:
// the inverse of the matrix that its primaries and white give).
var toBT709 = [3][3]float64{
	{3.2409699419, -1.5373831776, -0.4986107603},
	{-0.9692436363, 1.8759675015, 0.0415550574},
	{0.0556300797, -0.2039769589, 1.0569715142},
}

// Reference returns linear R, G, B of a patch, neutral balanced: each tristimulus value is
// scaled from the illuminant's to D65's. It serves to recognise the chart, not to measure it.
func (e Edition) Reference(patch int) [3]float64 {
	xyz, from, to := e.xyz(patch), e.white(), fromChromaticity(0.3127, 0.3290, 1)
	var rgb [3]float64
	for row := range 3 {
		for i := range 3 {
			rgb[row] += toBT709[row][i] * xyz[i] * to[i] / from[i]
		}
		rgb[row] = math.Max(rgb[row], darkestReference)
	}
	return rgb
}

// darkestReference keeps colours outside the BT.709 gamut (cyan) on a logarithmic scale.
const darkestReference = 0.01
