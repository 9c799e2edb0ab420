package report

import "path/filepath"

// A Recommendation says which take to use. Take is its number, from 1, or null where it is a
// matter of what the shot needs, or where nothing tells the takes apart.
type Recommendation struct {
	Take   *int    `json:"take"`
	Path   *string `json:"path"`
	Reason string  `json:"reason"`
}

// shadowTone is the scene tone at which shadows are judged.
const shadowTone = -4

// littleMore is the share of the frame a take may lose to the ceiling beyond another and still
// count as losing no more: half a percent is some lamps (common practice, no source).
const littleMore = 0.005

// worthDB is the least difference of SNR that is worth a choice (common practice, no source).
const worthDB = 1

// recommend weighs the shadows of takes against what the ceiling took from them.
func recommend(takes []Take) Recommendation {
	if len(takes) < 2 {
		return Recommendation{Reason: "There are no two takes to compare."}
	}
	clean, keeps := cleanest(takes), leastClipped(takes)
	switch {
	case clean < 0 && keeps < 0:
		return Recommendation{Reason: "No take is better: " + alikeShadows(takes) + ", and they lose as much of the frame to the ceiling."}
	case clean < 0:
		return choose(takes, keeps, "it loses the least of the frame to the ceiling, "+lostText(takes[keeps])+
			"; "+alikeShadows(takes)+".")
	case keeps < 0 || lostMore(takes, clean) <= littleMore:
		return choose(takes, clean, "it is "+cleanerBy(takes, clean)+" at scene -4 stops and loses "+lostBeside(takes, clean)+".")
	}
	return Recommendation{Reason: takeName(takes, clean) + " is " + cleanerBy(takes, clean) + " at scene -4 stops but loses " +
		lostText(takes[clean]) + " of the frame to the ceiling, where " + takeName(takes, keeps) + " loses " + lostText(takes[keeps]) +
		": use " + takeName(takes, clean) + " for its shadows, or " + takeName(takes, keeps) + " if what clips matters."}
}

// cleanest returns the take with the highest SNR at the shadow tone, or -1 where the takes cannot
// be told apart by it. Of takes as clean as the best, the one that clips least stands for them.
func cleanest(takes []Take) int {
	best, worst := -1, noisiest(takes, -1)
	for i, t := range takes {
		if v := shadow(t); v != nil && (best < 0 || v.Value > shadow(takes[best]).Value) {
			best = i
		}
	}
	if best < 0 || !cleaner(takes[best], takes[worst]) {
		return -1
	}
	chosen := best
	for i, t := range takes {
		asClean := shadow(t) != nil && !cleaner(takes[best], t) && cleaner(t, takes[worst])
		if asClean && lostShare(t) < lostShare(takes[chosen])-littleMore {
			chosen = i
		}
	}
	return chosen
}

// noisiest returns the take with the lowest SNR at the shadow tone, take but left out; -1 for none.
func noisiest(takes []Take, but int) int {
	worst := -1
	for i, t := range takes {
		if v := shadow(t); v != nil && i != but && (worst < 0 || v.Value < shadow(takes[worst]).Value) {
			worst = i
		}
	}
	return worst
}

// cleaner reports whether a is cleaner than b by what can be told and is worth telling.
func cleaner(a, b Take) bool {
	d := difference(shadow(a), shadow(b))
	return d != nil && d.Told && d.Value >= worthDB
}

// leastClipped returns the take that loses least of the frame, or -1 where all lose as much.
func leastClipped(takes []Take) int {
	least, most := 0, 0
	for i, t := range takes {
		if lostShare(t) < lostShare(takes[least]) {
			least = i
		}
		if lostShare(t) > lostShare(takes[most]) {
			most = i
		}
	}
	if lostShare(takes[most])-lostShare(takes[least]) <= littleMore {
		return -1
	}
	return least
}

func shadow(t Take) *Estimate { return t.find("snr", shadowTone).Value }

func lostShare(t Take) float64 {
	if v := t.find("clipped_any", 0).Value; v != nil {
		return v.Value
	}
	return 0
}

func lostText(t Take) string { return Share(lostShare(t)) }

// lostMore is how much more of the frame a take loses than the one that loses least.
func lostMore(takes []Take, i int) float64 {
	least := lostShare(takes[i])
	for _, t := range takes {
		least = min(least, lostShare(t))
	}
	return lostShare(takes[i]) - least
}

// cleanerBy says how much cleaner a take is than the noisiest of the others.
func cleanerBy(takes []Take, i int) string {
	worst := takes[noisiest(takes, i)]
	text := Decibels(shadow(takes[i]).Value-shadow(worst).Value) + " cleaner"
	if len(takes) > 2 {
		text += " than " + takeName(takes, noisiest(takes, i))
	}
	return text
}

// lostBeside says what a take loses to the ceiling, and that the others lose no less.
func lostBeside(takes []Take, i int) string {
	if lostShare(takes[i]) == 0 {
		return "nothing to the ceiling"
	}
	return lostText(takes[i]) + " of the frame to the ceiling, " + than(takes, i)
}

func than(takes []Take, i int) string {
	others := "the others"
	if len(takes) == 2 {
		others = "the other"
	}
	if lostMore(takes, i) > 0 {
		return "hardly more than " + others
	}
	return "no more than " + others
}

func alikeShadows(takes []Take) string {
	for _, t := range takes {
		if shadow(t) == nil {
			return "the shadows could not be compared"
		}
	}
	return "the shadows cannot be told apart"
}

func choose(takes []Take, i int, reason string) Recommendation {
	number, path := i+1, takes[i].Path
	return Recommendation{Take: &number, Path: &path, Reason: "Use " + takeName(takes, i) + ": " + reason}
}

// takeName is a take's letter, as in the table, and its file's name.
func takeName(takes []Take, i int) string {
	return letter(i) + " (" + filepath.Base(takes[i].Path) + ")"
}

// letter counts A ... Z, AA, AB ...
func letter(i int) string {
	s := string(rune('A' + i%26))
	if i >= 26 {
		return letter(i/26-1) + s
	}
	return s
}
