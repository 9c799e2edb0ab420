package html

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/text"
)

// A timeline shows placement, clipping and noise of clips by the time of day, a drawing a day.
type timeline struct {
	By      string // what the time is
	Days    []dayLine
	Without int // clips whose time is not known
	More    int // days that have no drawing
}

// A dayLine is the drawing of one day.
type dayLine struct {
	Title  string // its date; "" where only timecode is known
	Panels []panel
	Hours  []tick
}

// A panel is one figure by time. Its dots are the path of a box of 1000 by panelTall.
type panel struct {
	Name, Says string
	Firm, Weak string
	Levels     []level
}

// A level is a line across a panel.
type level struct {
	Y     float64 // pixels from its top
	Words string
}

const (
	panelWide = 1000.0
	panelTall = 64.0
	panelEdge = 6.0 // above and below all dots
	mostDays  = 7   // drawn: beyond that a page of many audits tells more
)

// A moment is what is drawn of one clip. Unknown figures are left out.
type moment struct {
	recorded          time.Time // zero where the file does not say
	code              time.Time // the timecode as a time of day zero; zero where there is none
	stops, snr, share float64   // of grey; in dB, in shadows after the correction; clipped, percent of the frame
	weak              bool      // of grey

	At, Clock string // where it lies on the timeline, and when; "" without a time
}

func newMoment(c *report.Clip) moment {
	m := moment{stops: math.NaN(), snr: float64(c.Advice.After.SNR), share: 100 * float64(c.Highlights.Clipped.Any)}
	if p := c.Placement; p != nil {
		m.stops, m.weak = float64(p.Stops), p.Weak
	}
	if c.Noise.Suppressed {
		m.snr = math.NaN()
	}
	m.recorded, _ = time.Parse(time.RFC3339, c.Recorded)
	if len(c.Timecode) >= len(time.TimeOnly) { // frames, after a colon or semicolon, are less than a dot is wide
		if at, err := time.Parse(time.TimeOnly, c.Timecode[:len(time.TimeOnly)]); err == nil {
			m.code = at
		}
	}
	return m
}

// newTimeline draws the days of clips, and sets where each lies; nil where fewer than two have a time.
// Times are those when recording began, as files say, in the zone that most name, or timecode where more
// clips have that.
func newTimeline(clips []*moment) *timeline {
	recorded, coded := 0, 0
	zones := map[string]int{}
	for _, m := range clips {
		if !m.recorded.IsZero() {
			recorded++
			zones[m.recorded.Format("Z07:00")]++
		}
		if !m.code.IsZero() {
			coded++
		}
	}
	if max(recorded, coded) < 2 {
		return nil
	}
	if recorded < coded {
		return drawDays(clips, "timecode", func(m *moment) time.Time { return m.code })
	}
	zone := commonest(zones)
	in := time.UTC
	if at, err := time.Parse("Z07:00", zone); err == nil {
		_, offset := at.Zone()
		in = time.FixedZone("", offset)
	}
	by := "time of recording, UTC" + strings.TrimPrefix(zone, "Z")
	return drawDays(clips, by, func(m *moment) time.Time {
		if m.recorded.IsZero() {
			return m.recorded
		}
		return m.recorded.In(in)
	})
}

// commonest returns the key with the greatest number, the first of several.
func commonest(numbers map[string]int) (most string) {
	for _, key := range slices.Sorted(maps.Keys(numbers)) {
		if most == "" || numbers[key] > numbers[most] {
			most = key
		}
	}
	return most
}

func drawDays(clips []*moment, by string, timeOf func(*moment) time.Time) *timeline {
	v := &timeline{By: text.Typeset(by)}
	days := map[string][]*moment{}
	for _, m := range clips {
		at := timeOf(m)
		if at.IsZero() {
			v.Without++
			continue
		}
		date := at.Format(time.DateOnly)
		days[date] = append(days[date], m)
	}
	for n, date := range slices.Sorted(maps.Keys(days)) {
		if n == mostDays {
			v.More = len(days) - n
			break
		}
		v.Days = append(v.Days, drawDay(len(v.Days), days[date], timeOf))
	}
	return v
}

// drawDay draws one day, and sets where its clips lie.
func drawDay(number int, clips []*moment, timeOf func(*moment) time.Time) (d dayLine) {
	slices.SortStableFunc(clips, func(a, b *moment) int { return timeOf(a).Compare(timeOf(b)) })
	first, last := timeOf(clips[0]), timeOf(clips[len(clips)-1])
	if first.Year() > 0 {
		d.Title = text.Typeset(first.Format("2 January 2006"))
	}
	step := hourStep(last.Sub(first))
	midnight := time.Date(first.Year(), first.Month(), first.Day(), 0, 0, 0, 0, first.Location())
	begin := first.Sub(midnight).Truncate(step)
	end := max(last.Sub(midnight).Truncate(step)+step, begin+step)
	for at := begin; at <= end; at += step {
		x := curve.Round(100*float64(at-begin)/float64(end-begin), 2)
		d.Hours = append(d.Hours, tick{X: x, Words: clockWords(at), Anchor: axis{0, 100}.edgeAnchor(x),
			Odd: len(d.Hours)%2 == 1})
	}
	at := make([]float64, len(clips))
	for i, m := range clips {
		since := timeOf(m).Sub(midnight)
		at[i] = curve.Round(panelWide*float64(since-begin)/float64(end-begin), 1)
		m.At = strconv.Itoa(number) + " " + strconv.FormatFloat(at[i], 'f', -1, 64)
		m.Clock = clockWords(since)
	}
	for _, p := range []struct {
		name, unit  string
		least, most float64 // that are always shown
		steps       []float64
		of          func(*moment) float64
	}{
		{"Grey, stops", "", -1, 1, []float64{1, 2, 4}, func(m *moment) float64 { return m.stops }},
		{"Clipped", " %", 0, 1, []float64{0.5, 1, 2, 5, 10, 20, 50}, func(m *moment) float64 { return m.share }},
		{"Shadows −4 (SNR)", " dB", 20, 30, []float64{10, 20, 40}, func(m *moment) float64 { return m.snr }},
	} {
		s := scaleOf(clips, p.of, p.least, p.most, p.steps)
		d.Panels = append(d.Panels, drawPanel(p.name, p.unit, s, clips, at, p.of))
	}
	return d
}

// hourStep is how far the marks of a day are apart.
func hourStep(span time.Duration) time.Duration {
	const marks = 6
	for _, step := range []time.Duration{5 * time.Minute, 15 * time.Minute, 30 * time.Minute, time.Hour, 2 * time.Hour} {
		if span <= marks*step {
			return step
		}
	}
	return 4 * time.Hour
}

func clockWords(sinceMidnight time.Duration) string {
	return fmt.Sprintf("%02d:%02d", int(sinceMidnight.Hours()), int(sinceMidnight.Minutes())%60)
}

// A scale is the range of a panel, in whole steps.
type scale struct{ low, high, step float64 }

// scaleOf holds all figures, and has at most four steps where the steps offered allow it.
func scaleOf(clips []*moment, of func(*moment) float64, low, high float64, steps []float64) scale {
	for _, m := range clips {
		if v := of(m); curve.Finite(v) {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	for i, step := range steps {
		s := scale{math.Floor(low/step) * step, math.Ceil(high/step) * step, step}
		if s.high-s.low <= 4*step || i == len(steps)-1 {
			return s
		}
	}
	return scale{low, high, high - low}
}

func (s scale) y(v float64) float64 {
	return curve.Round(panelEdge+(panelTall-2*panelEdge)*(s.high-v)/(s.high-s.low), 1)
}

// drawPanel draws one figure of the clips of a day, which lie at these places. Weak figures of grey are hollow.
func drawPanel(name, unit string, s scale, clips []*moment, at []float64, of func(*moment) float64) panel {
	p := panel{Name: text.Typeset(name)}
	var firm, weak strings.Builder
	low, high, n := math.Inf(1), math.Inf(-1), 0
	for i, m := range clips {
		v := of(m)
		if !curve.Finite(v) {
			continue
		}
		n, low, high = n+1, math.Min(low, v), math.Max(high, v)
		to := &firm
		if m.weak && unit == "" {
			to = &weak
		}
		fmt.Fprintf(to, "M%g %gh.01", at[i], s.y(v)) // a round end at both ends is a dot
	}
	p.Firm, p.Weak = firm.String(), weak.String()
	for v := s.low; v <= s.high+s.step/2; v += s.step {
		words := text.Number(v, decimalsOf(s.step), unit)
		if unit == "" && v > 0 {
			words = text.Signed(v, decimalsOf(s.step), "")
		}
		p.Levels = append(p.Levels, level{s.y(v), text.Typeset(words)})
	}
	p.Says = name + ": not known of any clip."
	if n > 0 {
		p.Says = fmt.Sprintf("%s by time, of %s: from %s to %s.", name, text.Plural(n, "clip"),
			text.Number(low, 1, unit), text.Number(high, 1, unit))
	}
	p.Says = text.Typeset(p.Says)
	return p
}

func decimalsOf(step float64) int {
	if step < 1 {
		return 1
	}
	return 0
}
