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
	table, looked, longest, pairs := toneTable{}, 0, 0, 0
	for _, g := range groups {
		table.merge(g.table)
		looked += g.looked
		longest = max(longest, g.pairs)
		pairs += g.pairs
	}
	luma, _ := detailCells(groups, -1)
	grain := grainOf(stillCells(luma, table.tones(worth{pairs, 1, whiteGrain})))
	tones := table.tones(worth{pairs, overlap(longest), grain})
	addPatterns(tones, luma, grain, a.scale)
	e := evidenceOf(groups)
	r := Result{GrainPx: curve.Ratio(grain.length), Codec: codecOf(groups, table, e, a.scale.Reading)}
	if looked > 0 {
		r.RejectedShare = curve.Share(1 - table.used()/float64(looked))
	}
	r.Codec.CoarseOverFine = curve.Ratio(grain.coarse)
	a.judge(&r, e, tones)
	a.judgeFloor(&r, tones)
	r.Tones = results(tones, a.scale.Reading, a.recording.LossyCodec, r.hidden())
	r.Channels = a.channels(groups, r.hidden())
	r.Groups = a.floors(groups, grain)
	return r
}

// judge tells whether the noise can be told, and what disturbs it.
func (a *Accumulator) judge(r *Result, e evidence, tones []tone) {
	var cause Cause
	r.Reason, cause = r.Codec.suppression(e, a.recording)
	r.Suppressed = r.Reason != ""
	r.Causes = []Cause{}
	if r.Suppressed {
		r.Causes = append(r.Causes, cause)
	} else {
		r.Unmeasured = e.unmeasured(tones)
	}
	for _, c := range e.causes(r.Codec, a.recording) {
		if cause == "" || !hides(cause, c) {
			r.Causes = append(r.Causes, c)
		}
	}
}

// hides tells whether what suppresses the noise accounts for another cause as well.
func hides(cause, other Cause) bool {
	return cause == other || cause == MotionOrReduction && other == Motion || other == SpatialReduction
}

// judgeFloor fills in model, floor and what coding took, unless the noise is hidden.
func (a *Accumulator) judgeFloor(r *Result, tones []tone) {
	unknown := curve.Unknown[curve.Stops]()
	r.Floor, r.FloorLow, r.FloorHigh, r.FloorSNR2, r.Usable = unknown, unknown, unknown, unknown, unknown
	if r.hidden() {
		r.ModelReason = "the recording hides the noise"
		r.Coding = unknownCoding(r.ModelReason)
		return
	}
	ceiling := a.scale.Reading.Light(a.recording.Ceiling)
	r.Top = topTone * ceiling
	camera, reason := a.recording.transferOf(tones, ceiling)
	if n := camera.contradicted(tones); n > 0 {
		r.Doubt = doubtOf(n, len(tones))
	}
	r.Model, r.Least, r.Most, r.ModelReason = camera.likely, camera.least, camera.most, reason
	r.Tilted, r.Made = camera.tilted, camera.made(a.scale)
	r.Recorded, _ = fitModel(tones, ceiling)
	r.Coding = a.recording.codingOf(tones)
	f := camera.floorOf(tones, a.scale, slices.Contains(r.Causes, SpatialReduction))
	r.Floor, r.FloorLow, r.FloorHigh, r.FloorBound = f.value, f.low, f.high, f.bound
	if f.bound == "" && r.Model != nil {
		r.FloorSNR2 = r.Model.Floor(2)
	}
	r.Usable = ceiling.Stops() - r.Floor
}

// channels returns R', G' and B', those with tones; never nil.
func (a *Accumulator) channels(groups []*group, hidden bool) []Channel {
	out := []Channel{}
	for i, name := range []string{"r", "g", "b"} {
		if tones, g := a.channel(groups, i); len(tones) > 0 {
			lossy := a.recording.LossyCodec
			out = append(out, Channel{name, curve.Ratio(g.length), results(tones, a.scale.Reading, lossy, hidden)})
		}
	}
	return out
}

// floors returns the floor of each group by itself.
func (a *Accumulator) floors(groups []*group, luma grain) []Group {
	ceiling := a.scale.Reading.Light(a.recording.Ceiling)
	var out []Group
	for _, g := range groups {
		tones := g.table.tones(worth{g.pairs, overlap(g.pairs), luma})
		camera, _ := a.recording.transferOf(tones, ceiling)
		own := unknownFloor().value
		if camera.tones != nil {
			own = crossing(camera.tones[0], camera.likely, 1)
		}
		out = append(out, Group{curve.Seconds(g.t), own})
	}
	return out
}
