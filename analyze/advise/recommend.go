package advise

import (
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// A Recommendation says which take to use. Take is its number, from 1, or nil where it is a
// matter of what the shot needs, where nothing tells the takes apart, or where their greys are no
// ground to compare them on.
type Recommendation struct {
	Take   *int    `json:"take"`   // number, from 1; nil for none
	Path   *string `json:"path"`   // of that take; nil for none
	Reason string  `json:"reason"` // in a sentence or two
}

// unlessDoubted takes a recommendation back where the take chosen may be clipped.
func (r Recommendation) unlessDoubted(takes []Measured) Recommendation {
	if r.Take == nil || !takes[*r.Take-1].Clipping.Undecided {
		return r
	}
	name := takeName(*r.Take-1, *r.Path)
	return Recommendation{Reason: "No take is recommended: the highlights of " + name + " may be clipped, which the " +
		"recording does not tell. Check them by eye; if they hold, use it."}
}

// recommend weighs the shadows of takes against what the ceiling took from them, unless there is a
// reason why they cannot be weighed.
func recommend(takes []Take, groundless string) Recommendation {
	switch {
	case len(takes) < 2:
		return Recommendation{Reason: "There are no two takes to compare."}
	case groundless != "":
		return Recommendation{Reason: "No take is recommended: " + groundless +
			", so the same tones of the scene cannot be set side by side. Shoot a grey card in each take, " +
			"or name a grey area of the scene with --region."}
	}
	clean, keeps := cleanest(takes), leastClipped(takes)
	switch {
	case clean < 0 && keeps < 0:
		return Recommendation{Reason: "No take is better: " + alikeShadows(takes) +
			", and they lose as much of the frame to the ceiling."}
	case clean < 0:
		return choose(takes, keeps, "it loses the least of the frame to the ceiling, "+
			takes[keeps].lost().String()+"; "+alikeShadows(takes)+".")
	case keeps < 0 || lostMore(takes, clean) <= limit.LittleMore:
		return choose(takes, clean, "it is "+cleanerBy(takes, clean)+" 4 stops under grey and loses "+
			lostBeside(takes, clean)+".")
	}
	return trade(takes, clean, keeps)
}

// trade words the choice between cleaner shadows and what the ceiling takes for them.
func trade(takes []Take, clean, keeps int) Recommendation {
	cleaner, keeper := takeName(clean, takes[clean].Path), takeName(keeps, takes[keeps].Path)
	return Recommendation{Reason: cleaner + " is " + cleanerBy(takes, clean) + " 4 stops under grey but loses " +
		takes[clean].lost().String() + " of the frame to the ceiling, where " + keeper + " loses " +
		takes[keeps].lost().String() + ": use " + cleaner + " for its shadows, or " + keeper + " if what clips matters."}
}

func choose(takes []Take, i int, reason string) Recommendation {
	number, path := i+1, takes[i].Path
	return Recommendation{Take: &number, Path: &path, Reason: "Use " + takeName(i, path) + ": " + reason}
}

// cleanerBy says how much cleaner a take is than the noisiest of the others.
func cleanerBy(takes []Take, i int) string {
	worst := noisiest(takes, i)
	text := curve.Decibels(takes[i].shadow().Value-takes[worst].shadow().Value).String() + " cleaner"
	if len(takes) > 2 {
		text += " than " + takeName(worst, takes[worst].Path)
	}
	return text
}

// lostBeside says what a take loses to the ceiling, and that the others lose no less.
func lostBeside(takes []Take, i int) string {
	if takes[i].lost() == 0 {
		return "nothing to the ceiling"
	}
	others := "the others"
	if len(takes) == 2 {
		others = "the other"
	}
	more := "no more than "
	if lostMore(takes, i) > 0 {
		more = "hardly more than "
	}
	return takes[i].lost().String() + " of the frame to the ceiling, " + more + others
}

// alikeShadows says why shadows do not decide.
func alikeShadows(takes []Take) string {
	for _, t := range takes {
		if t.shadow() == nil {
			return "the shadows could not be compared"
		}
	}
	return "there is no measurable difference in the shadows"
}
