package html

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// A row is a clip in the table of the index. The keys are what its columns sort by, "" where
// there is no number.
type row struct {
	status
	Page, Name, Folder, Facts  string
	Thumb, Through             string
	Gauge                      template.HTML
	Grey, GreyBy               string
	Shadows, Nominal           string
	Clipped, Areas             string
	Do                         string
	Alarms                     []string // texts of findings
	Why                        []string
	IDs                        string
	KeyGrey, KeyShadows, KeyDo string
	KeyClipped, Place          string
	Review                     string // under which a browser keeps what a person notes of the clip

	moment
	grave [3]int // the place of its status, and how many alarms and cautions it has
}

// worseFirst puts clips in the order of their states, and of those in one state first those with more alarms, then
// those with more cautions.
func worseFirst(a, b row) int {
	return cmp.Or(cmp.Compare(a.grave[0], b.grave[0]), cmp.Compare(b.grave[1], a.grave[1]),
		cmp.Compare(b.grave[2], a.grave[2]))
}

// newRow is the row of a clip; place is its number in the order the clips were listed.
func newRow(c *report.Clip, place int) row {
	findings := findingsByLevel(c)
	r := row{
		status: statusOf(c), Page: report.ClipPage(c.Path), Place: strconv.Itoa(place),
		Name: clipName(c), Facts: typeset(joined(" · ", c.Curve.Name, sizeWords(c), lengthWords(c))),
		Gauge: gauge(c), Grey: text.Typeset(greyWords(c)), Do: text.Typeset(doWords(c)),
		Clipped: text.Typeset(text.Clipped(c)), Areas: areaWords(&c.Highlights),
		KeyClipped: key(c.Highlights.Clipped.Any, 6), Review: reviewKey(c), moment: newMoment(c),
	}
	if c.Pictures != nil {
		r.Thumb, r.Through = localName(c.Pictures.Thumb), through(c)
	}
	if p := c.Placement; p != nil {
		r.GreyBy, r.KeyGrey = greySource(p), key(p.Stops, 4)
	}
	if changeOf(c).Action != advise.None {
		r.KeyDo = key(c.Advice.Correction(), 4)
	}
	r.shadows(c)
	r.grave[0] = slices.Index(statuses, r.status)
	for _, f := range findings {
		switch f.Level {
		case advise.Alarm:
			r.grave[1]++
			r.Alarms = append(r.Alarms, f.Text)
		case advise.Caution:
			r.grave[2]++
		}
	}
	r.Why = mainFindings(findings)
	r.IDs = findingIDs(c)
	return r
}

// reviewKey tells one recording from another, so that what a person noted of a clip is not shown with another
// of its name; it stays when the clip is measured again.
func reviewKey(c *report.Clip) string {
	of := fmt.Sprintf("%q %d %d %q %q", c.Path, c.Bytes, c.Frames, c.Timecode, c.Recorded)
	sum := sha256.Sum256([]byte(of))
	return hex.EncodeToString(sum[:6])
}

// shadows sets what the row says of the noise.
func (r *row) shadows(c *report.Clip) {
	after := c.Advice.After
	r.Shadows = text.Typeset(text.Shadows(c))
	if c.Noise.Suppressed {
		r.Nominal = "noise hidden"
		return
	}
	r.KeyShadows = key(after.SNR, 4)
	if curve.Finite(after.Nominal) && r.Shadows != curve.Absent {
		r.Nominal = text.Typeset("nominal " + after.Nominal.String())
	}
}

func findingIDs(c *report.Clip) string {
	var ids []string
	for _, f := range c.Advice.Findings {
		ids = append(ids, metadata.Printable(string(f.ID)))
	}
	return strings.Join(ids, " ")
}

// mainFindings returns the texts of at most two findings, notes only where there is nothing
// graver. The findings are in order of their levels.
func mainFindings(findings []finding) (texts []string) {
	for i, f := range findings {
		if i < 2 && (i == 0 || f.Level != advise.Note) {
			texts = append(texts, f.Text)
		}
	}
	return texts
}

// key is a number to sort by, "" where it is not known.
func key[T ~float64](v T, decimals int) string {
	if !curve.Finite(v) {
		return ""
	}
	return strconv.FormatFloat(float64(v), 'f', decimals, 64)
}
