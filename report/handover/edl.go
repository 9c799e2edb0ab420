package handover

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"stopledger/curve"
	"stopledger/curve/adjust"
	"stopledger/decode/metadata"
	"stopledger/report"
)

// A listed clip stands in the lists of all, with or without a CDL.
type listed struct {
	order Order
	stem  string
	cdl   *Correction // nil where it was refused
}

// writeEDL writes an edit list (CMX 3600) of clips that count alike, one after the other from the first
// hour on, with the CDL of each in remarks under its event.
func writeEDL(w io.Writer, clips []listed, d curve.Domain) error {
	b := bufio.NewWriter(w)
	count := placeOf(&clips[0].order.Clip).counting
	mode := "NON-DROP FRAME"
	if count.drop {
		mode = "DROP FRAME"
	}
	fmt.Fprintf(b, "TITLE: stopledger exposure, %s domain\nFCM: %s\n", d, mode)
	at, _ := place{counting: counting{count.perSecond, false}, every: 1}.counted("01:00:00:00", count.perSecond)
	if count.drop {
		at -= count.perSecond / 15 * 54 // of 60 minutes
	}
	for i, c := range clips {
		p := placeOf(&c.order.Clip)
		fmt.Fprintf(b, "\n%03d  %-8s V     C        %s %s %s %s\n", i+1, reel(c.order.Clip.Path),
			count.words(p.from), count.words(p.from+p.frames), count.words(at), count.words(at+p.frames))
		fmt.Fprintf(b, "* FROM CLIP NAME: %s\n", metadata.Printable(report.ClipName(c.order.Clip.Path)))
		if p.every > 1 {
			fmt.Fprintf(b, "* COUNTED: EVERY %d FRAMES AS ONE\n", p.every)
		}
		if c.cdl != nil {
			writeDecision(b, c.cdl.made.(adjust.CDL))
		}
		at += p.frames
	}
	return b.Flush()
}

// writeDecision writes a CDL as remarks of an event.
func writeDecision(w io.Writer, d adjust.CDL) {
	slope, offset, power := d.SOP()
	fmt.Fprintf(w, "*ASC_SOP (%s)(%s)(%s)\n*ASC_SAT %s\n", strings.Join(slope[:], " "), strings.Join(offset[:], " "),
		strings.Join(power[:], " "), d.Saturation())
}

// reel is a clip's name in eight capital letters and digits, all that the format has room for.
func reel(clipPath string) string {
	name := strings.Map(func(r rune) rune {
		if r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, strings.ToUpper(Stem(clipPath)))
	if name == "" {
		return "AX"
	}
	return name[:min(8, len(name))]
}

// alike gathers clips that count alike, in the order of the first of each; an edit list has one way of
// counting.
func alike(clips []listed) (groups [][]listed) {
	at := map[counting]int{}
	for _, c := range clips {
		count := placeOf(&c.order.Clip).counting
		i, known := at[count]
		if !known {
			i = len(groups)
			at[count] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], c)
	}
	return groups
}
