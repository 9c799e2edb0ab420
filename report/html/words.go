package html

import (
	"slices"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/decode/metadata"
	"stopledger/report"
	"stopledger/report/text"
)

// typeset makes a text printable and typesets it.
func typeset(s string) string { return text.Typeset(metadata.Printable(s)) }

// changeOf is the advised correction as it is printed.
func changeOf(c *report.Clip) advise.Change { return c.Advice.Change(c.Placement) }

func greyWords(c *report.Clip) string { return advise.Grey(c.Placement) }

func doWords(c *report.Clip) string { return c.Advice.Do(c.Placement) }

func clipName(c *report.Clip) string { return metadata.Printable(report.ClipName(c.Path)) }

// joined joins the parts that are not empty.
func joined(between string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), between)
}

// intervalWords are both ends of an interval, "" where it is not known or has no width.
func intervalWords(low, high curve.Stops) string {
	if !curve.Finite(low) || !curve.Finite(high) || !(high > low) {
		return ""
	}
	decimals := curve.StopsDecimals(low, high)
	return text.Signed(low, decimals, "") + " to " + text.Signed(high, decimals, "")
}
