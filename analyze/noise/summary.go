package noise

import (
	"cmp"
	"slices"

	"stopledger/curve"
)

// Result works out the noise of all groups collected and merged.
func (a *Accumulator) Result() Result {
	groups := slices.Clone(a.groups)
	slices.SortFunc(groups, func(a, b *group) int { return cmp.Compare(a.number, b.number) })
	table, looked, pairs := toneTable{}, 0, 0
	for _, g := range groups {
		table.merge(g.table)
		looked += g.looked
		pairs = max(pairs, g.pairs)
	}
	luma := detailCells(groups, -1)
	grain := grainOf(stillCells(luma, table.tones(worth{1, whiteGrain})))
	tones := table.tones(worth{overlap(pairs), grain})
	addPatterns(tones, luma, grain, a.scale)
	r := Result{GrainPx: curve.Ratio(grain.length), Codec: codecOf(groups, table, a.scale.Reading)}
	if looked > 0 {
		r.RejectedShare = curve.Share(1 - table.used()/float64(looked))
	}
	r.Codec.CoarseOverFine = curve.Ratio(grain.coarse)
	r.Reason = r.Codec.suppression(a.recording.LongGOP)
	r.Suppressed = r.Reason != ""
	a.judge(&r, tones)
	r.Tones = results(tones, a.scale.Reading, r.Suppressed)
	r.Channels = a.channels(groups, r.Suppressed)
	r.Groups = a.floors(groups, grain)
	return r
}

// judge fills in model and floor, unless the recording hides the noise.
func (a *Accumulator) judge(r *Result, tones []tone) {
	if r.Suppressed {
		unknown := curve.Unknown[curve.Stops]()
		r.Floor, r.FloorSNR2, r.Usable = unknown, unknown, unknown
		r.ModelReason = "the recording hides the noise"
		return
	}
	ceiling := a.scale.Reading.Light(a.recording.Ceiling)
	r.Model, r.ModelReason = fitModel(tones, ceiling, a.recording.loss())
	r.Floor, r.FloorSNR2 = floorOf(tones, r.Model, 1), floorOf(tones, r.Model, 2)
	r.Usable = ceiling.Stops() - r.Floor
}

// channels returns R', G' and B', those with tones; never nil.
func (a *Accumulator) channels(groups []*group, suppressed bool) []Channel {
	out := []Channel{}
	for i, name := range []string{"r", "g", "b"} {
		if tones, g := a.channel(detailCells(groups, i), i); len(tones) > 0 {
			out = append(out, Channel{name, curve.Ratio(g.length), results(tones, a.scale.Reading, suppressed)})
		}
	}
	return out
}

// floors returns the floor of each group by itself.
func (a *Accumulator) floors(groups []*group, luma grain) []Group {
	ceiling := a.scale.Reading.Light(a.recording.Ceiling)
	var out []Group
	for _, g := range groups {
		tones := g.table.tones(worth{overlap(g.pairs), luma})
		model, _ := fitModel(tones, ceiling, a.recording.loss())
		out = append(out, Group{curve.Seconds(g.t), floorOf(tones, model, 1)})
	}
	return out
}
