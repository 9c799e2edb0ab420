package rule

import (
	"fmt"
	"strings"

	"stopledger/curve"
	"stopledger/decode/metadata"
)

// judgeISO goes by the ISO speed, or by the exposure index where the clip has that only.
func judgeISO(a Asked, c Clip) *Finding {
	allowed, by := Of(a, func(s *Section) *[]curve.Amount { return list(s.ISO) })
	if allowed == nil {
		return nil
	}
	asked := listed(*allowed, func(v curve.Amount) string { return fmt.Sprintf("%g", float64(v)) }) + allowedWord
	name, iso := isoOf(c.Camera)
	if iso == nil {
		return unsure(by, "the clip does not say its ISO, and %s", asked)
	}
	kept := false
	for _, v := range *allowed {
		kept = kept || same(float64(v), float64(*iso))
	}
	switch {
	case !kept:
		return broken(ISOID, by, "it was shot at %s %g, and %s", name, float64(*iso), asked)
	case changes(c.Camera, name):
		return unsure(by, "the %s changes within the clip, and %s", name, asked)
	}
	return nil
}

const allowedWord = " is allowed"

// isoOf returns the setting that stands for a camera's sensitivity, with its name as metadata gives it.
func isoOf(m *metadata.Camera) (string, *metadata.Setting) {
	switch {
	case m == nil:
		return "", nil
	case m.ISO != nil:
		return "ISO", m.ISO
	}
	return "exposure index", m.ExposureIndex
}

// judgeShutter compares exposure times; an angle is one of the rate of capture.
func judgeShutter(a Asked, c Clip) *Finding {
	allowed, by := Of(a, func(s *Section) *[]Shutter { return list(s.Shutters) })
	if allowed == nil {
		return nil
	}
	asked := listed(*allowed, Shutter.String) + allowedWord
	set, said := shutterOf(c.Camera)
	if !said {
		return unsure(by, "the clip does not say its shutter, and %s", asked)
	}
	rate := c.Rate
	if fps := c.Camera.CaptureFPS; fps != nil {
		rate = curve.Amount(*fps)
	}
	kept, compared := false, true
	for _, s := range *allowed {
		alike, ok := s.alike(set, rate)
		kept, compared = kept || alike, compared && ok
	}
	switch {
	case !kept && !compared:
		return unsure(by, "without a frame rate the shutter of %s cannot be compared, and %s", set, asked)
	case !kept:
		return broken(ShutterID, by, "it was shot with a shutter of %s, and %s", set, asked)
	case changes(c.Camera, "shutter"):
		return unsure(by, "the shutter changes within the clip, and %s", asked)
	}
	return nil
}

func shutterOf(m *metadata.Camera) (s Shutter, said bool) {
	switch {
	case m == nil:
		return Shutter{}, false
	case m.ShutterS != nil && *m.ShutterS > 0:
		return Shutter{Time: *m.ShutterS}, true
	case m.ShutterAngleDeg != nil && *m.ShutterAngleDeg > 0:
		return Shutter{Angle: curve.Ratio(*m.ShutterAngleDeg)}, true
	}
	return Shutter{}, false
}

// alike tells whether two shutters expose as long; known is false where a rate is missing.
func (s Shutter) alike(other Shutter, rate curve.Amount) (alike, known bool) {
	if s.Angle > 0 && other.Angle > 0 {
		return same(float64(s.Angle), float64(other.Angle)), true
	}
	a, b := s.seconds(rate), other.seconds(rate)
	return a > 0 && b > 0 && same(a, b), a > 0 && b > 0
}

// changes tells whether a setting changes within the clip.
func changes(m *metadata.Camera, setting string) bool {
	for _, said := range m.Changes {
		if strings.HasPrefix(said, setting+" ") {
			return true
		}
	}
	return false
}

// listed joins choices: "800", "800 or 3200".
func listed[T any](all []T, word func(T) string) string {
	words := make([]string, len(all))
	for i, v := range all {
		words[i] = word(v)
	}
	if len(words) == 0 {
		return "none"
	}
	return strings.Join(words, " or ")
}
