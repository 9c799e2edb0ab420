package html

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"time"

	"stopledger/analyze/placement"
	"stopledger/curve"
	"stopledger/report"
)

// timed is the moment of a clip that says when it was recorded.
func timed(recorded, timecode string, stops curve.Stops, weak bool) *moment {
	c := &report.Clip{File: report.File{Recorded: recorded, Timecode: timecode}}
	c.Placement = &placement.Placement{Stops: stops, Weak: weak}
	c.Advice.After.SNR = curve.Unknown[curve.Decibels]()
	m := newMoment(c)
	return &m
}

// Each clip of known time has one dot, hollow where grey is weak; they lie in the order of their times, within
// the drawing.
func TestTimelineHoldsEveryClip(t *testing.T) {
	for seed := range uint64(100) {
		random := rand.New(rand.NewPCG(seed, 126))
		var clips []*moment
		times, weak := 0, 0
		for range 2 + random.IntN(60) {
			at := ""
			if random.IntN(5) > 0 {
				at = time.Date(2026, 5, 10+random.IntN(3), random.IntN(24), random.IntN(60), random.IntN(60), 0,
					time.UTC).Format(time.RFC3339)
				times++
			}
			r := timed(at, "", curve.Stops(3*random.NormFloat64()), random.IntN(3) == 0)
			if r.weak && at != "" {
				weak++
			}
			clips = append(clips, r)
		}
		v := newTimeline(clips)
		if v == nil {
			if times > 1 {
				t.Errorf("seed %d: %d times and no drawing", seed, times)
			}
			continue
		}
		firm, hollow := 0, 0
		for _, d := range v.Days {
			firm, hollow = firm+strings.Count(d.Panels[0].Firm, "M"), hollow+strings.Count(d.Panels[0].Weak, "M")
			if d.Panels[2].Firm != "" || !strings.Contains(d.Panels[2].Says, "not known") {
				t.Errorf("seed %d: shadows that are not known are drawn: %+v", seed, d.Panels[2])
			}
		}
		if firm+hollow != times || hollow != weak || v.Without != len(clips)-times {
			t.Errorf("seed %d: %d and %d hollow of %d, %d without of %d", seed, firm, hollow, times, v.Without, len(clips))
		}
		checkOrder(t, clips)
	}
}

// checkOrder checks where clips lie against their times.
func checkOrder(t *testing.T, clips []*moment) {
	t.Helper()
	for _, a := range clips {
		for _, b := range clips {
			if a.At == "" || b.At == "" {
				continue
			}
			dayA, x := placed(t, a)
			dayB, y := placed(t, b)
			sameDay := a.recorded.YearDay() == b.recorded.YearDay()
			if sameDay != (dayA == dayB) || x < 0 || x > panelWide || sameDay && a.recorded.Before(b.recorded) && x > y {
				t.Fatalf("%v lies at %s, %v at %s", a.recorded, a.At, b.recorded, b.At)
			}
		}
	}
}

func placed(t *testing.T, r *moment) (day string, x float64) {
	t.Helper()
	day, at, _ := strings.Cut(r.At, " ")
	x, err := strconv.ParseFloat(at, 64)
	if err != nil {
		t.Fatal(err)
	}
	return day, x
}

// Clips lie by the zone that most of them name, and by timecode where more have that; one of a day alone is drawn
// too.
func TestTimelineHasOneClock(t *testing.T) {
	clips := []*moment{timed("2026-05-10T08:30:00Z", "", 0, false), timed("2026-05-10T11:00:00+02:00", "", 0, false),
		timed("2026-05-10T09:00:00+02:00", "09:00:00:12", 0, false)}
	v := newTimeline(clips)
	if len(v.Days) != 1 || v.By != "time of recording, UTC+02:00" || clips[0].Clock != "10:30" ||
		clips[2].Clock != "09:00" || v.Days[0].Title == "" {
		t.Errorf("%+v; %s and %s", v, clips[0].Clock, clips[2].Clock)
	}
	clips = []*moment{timed("2026-05-10T08:30:00Z", "01:00:00:00", 0, false), timed("", "02:00:10;02", 0, false),
		timed("", "25:00:00:00", 0, false), timed("", "1:2", 0, false)}
	v = newTimeline(clips)
	if v.By != "timecode" || v.Without != 2 || clips[1].Clock != "02:00" || v.Days[0].Title != "" {
		t.Errorf("%+v; %s", v, clips[1].Clock)
	}
	clips = nil
	for day := range 12 {
		clips = append(clips, timed(fmt.Sprintf("2026-05-%02dT23:59:59Z", 10+day), "", 0, false))
	}
	if v = newTimeline(clips); len(v.Days) != mostDays || v.More != 12-mostDays {
		t.Errorf("%d days are drawn, %d more", len(v.Days), v.More)
	}
	if newTimeline([]*moment{timed("2026-05-10T08:30:00Z", "", 0, false), timed("", "", 0, false)}) != nil {
		t.Error("one clip has a timeline")
	}
}
