package advise

import (
	"path/filepath"
	"slices"

	"stopledger/analyze/limit"
	"stopledger/curve"
)

// A Take is one clip's figures and their differences from the first clip's.
type Take struct {
	Path    string   `json:"path"`    // of the clip
	Figures []Figure `json:"figures"` // the same ones in the same order for every take
}

// Letter names a take by its number from 0: A ... Z, AA, AB ...
func Letter(i int) string {
	s := string(rune('A' + i%26))
	if i >= 26 {
		return Letter(i/26-1) + s
	}
	return s
}

// takeName is a take's letter, as in tables, and its file's name.
func takeName(i int, path string) string { return Letter(i) + " (" + filepath.Base(path) + ")" }

// find returns the figure of a name, at a scene tone for the noise; one without a value where the
// take has none.
func (t Take) find(name string, tone curve.Stops) Figure {
	i := slices.IndexFunc(t.Figures, func(f Figure) bool {
		return f.Name == name && (f.SceneStops == nil || *f.SceneStops == tone)
	})
	if i < 0 {
		return Figure{}
	}
	return t.Figures[i]
}

// shadow is the SNR at the tone at which shadows are judged, nil where it is not known.
func (t Take) shadow() *Estimate { return t.find(snrFigure, limit.Shadow).Value }

// lost is the share of the frame that the take loses to the ceiling.
func (t Take) lost() curve.Share {
	if v := t.find(clippedFigure, 0).Value; v != nil {
		return curve.Share(v.Value)
	}
	return 0
}

// cleaner tells whether a take is cleaner than another by what can be told and is worth telling.
// Nothing can be told without an interval.
func (t Take) cleaner(than Take) bool {
	d := difference(t.shadow(), than.shadow())
	return d != nil && d.Bounded() && d.Told && curve.Decibels(d.Value) >= limit.WorthChoice
}

// cleanest returns the take with the highest SNR at the shadow tone, or -1 where the takes cannot
// be told apart by it. Of takes as clean as the best, the one that clips least stands for them.
func cleanest(takes []Take) int {
	best, worst := -1, noisiest(takes, -1)
	for i, t := range takes {
		if v := t.shadow(); v != nil && (best < 0 || v.Value > takes[best].shadow().Value) {
			best = i
		}
	}
	if best < 0 || !takes[best].cleaner(takes[worst]) {
		return -1
	}
	chosen := best
	for i, t := range takes {
		asClean := t.shadow() != nil && !takes[best].cleaner(t) && t.cleaner(takes[worst])
		if asClean && t.lost() < takes[chosen].lost()-limit.LittleMore {
			chosen = i
		}
	}
	return chosen
}

// noisiest returns the take with the lowest SNR at the shadow tone, take but left out; -1 for none.
func noisiest(takes []Take, but int) int {
	worst := -1
	for i, t := range takes {
		if v := t.shadow(); v != nil && i != but && (worst < 0 || v.Value < takes[worst].shadow().Value) {
			worst = i
		}
	}
	return worst
}

// leastClipped returns the take that loses least of the frame, or -1 where all lose as much.
func leastClipped(takes []Take) int {
	least, most := 0, 0
	for i, t := range takes {
		if t.lost() < takes[least].lost() {
			least = i
		}
		if t.lost() > takes[most].lost() {
			most = i
		}
	}
	if takes[most].lost()-takes[least].lost() <= limit.LittleMore {
		return -1
	}
	return least
}

// lostMore is how much more of the frame a take loses than the one that loses least.
func lostMore(takes []Take, i int) curve.Share {
	least := takes[i].lost()
	for _, t := range takes {
		least = min(least, t.lost())
	}
	return takes[i].lost() - least
}
