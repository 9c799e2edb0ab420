package text

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/report"
	"stopledger/report/internal/reporttest"
)

// words of random texts: short and long, wide letters, numbers with units.
var vocabulary = []string{"Pull", "a", "1.65", "stops", "stops.", "-4", "dB,", "%", "s", "(54.9", "%)",
	"日本語", "é",
	"transform", "nowhere-near-a-short-word", "grey", "the", "of", "stopsign", "dBA"}

func randomWords(random *rand.Rand, n int) (words []string) {
	for range n {
		words = append(words, vocabulary[random.IntN(len(vocabulary))])
	}
	return words
}

// Whatever is wrapped, nothing is lost, every line has its indent, and a line is wider than asked
// only where it is one word, or a number with its unit; no line could have taken the next word.
func TestWrappingLosesNothing(t *testing.T) {
	for seed := range uint64(400) {
		random := rand.New(rand.NewPCG(seed, 61))
		words := randomWords(random, random.IntN(40))
		indent, width := strings.Repeat(" ", random.IntN(6)), 1+random.IntN(60)
		got := Wrap(strings.Join(words, " "), indent, width)
		if !slices.Equal(strings.Fields(got), words) {
			t.Fatalf("seed %d: %q is wrapped to\n%s", seed, words, got)
		}
		lines := strings.Split(strings.TrimSuffix(got, "\n"), "\n")
		for i, line := range lines {
			text, indented := strings.CutPrefix(line, indent)
			if !indented || text != strings.TrimSpace(text) {
				t.Fatalf("seed %d: line %q is not indented by %d", seed, line, len(indent))
			}
			if cells(line) > width && len(glued(text)) > 1 {
				t.Fatalf("seed %d: line %q takes %d of %d columns", seed, line, cells(line), width)
			}
			if i+1 < len(lines) && text != "" {
				next := glued(lines[i+1])[0]
				if cells(line)+1+cells(next) <= width {
					t.Fatalf("seed %d: in %d columns %q has room for %q", seed, width, line, next)
				}
			}
			if first := strings.Fields(text); i > 0 && len(first) > 0 && isUnit(first[0]) {
				t.Fatalf("seed %d: %q begins with a unit", seed, line)
			}
		}
	}
}

// Wrapping what is wrapped changes nothing; without a width the text is one line.
func TestWrappingIsStable(t *testing.T) {
	for seed := range uint64(100) {
		random := rand.New(rand.NewPCG(seed, 62))
		text := strings.Join(randomWords(random, 25), " ")
		once := Wrap(text, "", 30)
		if twice := Wrap(strings.ReplaceAll(once, "\n", " "), "", 30); twice != once {
			t.Errorf("seed %d:\n%sand again\n%s", seed, once, twice)
		}
		if got := Wrap(text, "  ", 0); got != "  "+text+"\n" {
			t.Errorf("seed %d: %q", seed, got)
		}
	}
}

// fitted is a table of random columns, fitted into a width.
func fitted(random *rand.Rand, width, enough int) (before, after Table) {
	after = Table{{Head: "clip", Width: 4 + random.IntN(40), Left: true}}
	for i := range 1 + random.IntN(7) {
		after = append(after, Column{Head: fmt.Sprint("c", i), Width: 2 + random.IntN(14), Left: random.IntN(2) == 0,
			Drop: random.IntN(7)})
	}
	before = slices.Clone(after)
	after.Fit(width, enough)
	return before, after
}

// widthOf is how wide the columns that are left stand side by side.
func widthOf(t Table) (width int) {
	for i, c := range t {
		if !c.dropped {
			width += c.Width
			if i > 0 {
				width += gapWidth
			}
		}
	}
	return width
}

// A fitted table is no wider than the terminal unless only columns are left that never go; columns
// go in order, and none goes that there was room for.
func TestFittingDropsInOrder(t *testing.T) {
	for seed := range uint64(500) {
		random := rand.New(rand.NewPCG(seed, 63))
		width, enough := 1+random.IntN(120), 1+random.IntN(24)
		before, after := fitted(random, width, enough)
		left, gone := 0, math.MaxInt
		for i, c := range after[1:] {
			switch {
			case c.dropped && c.Drop == 0:
				t.Fatalf("seed %d: column %d never goes, and is gone", seed, i+1)
			case c.dropped:
				gone = min(gone, c.Drop)
			default:
				left = max(left, c.Drop)
			}
			if c.Width != before[i+1].Width {
				t.Fatalf("seed %d: column %d has another width", seed, i+1)
			}
		}
		if left > gone {
			t.Errorf("seed %d: a column to go at %d is left, one at %d is gone", seed, left, gone)
		}
		if after[0].Width > before[0].Width || after[0].Width < 1 {
			t.Errorf("seed %d: the first column has %d of %d", seed, after[0].Width, before[0].Width)
		}
		if widthOf(after) > width && (left > 0 || after[0].Width > 1) {
			t.Errorf("seed %d: %d columns of the terminal, it has %d", seed, widthOf(after), width)
		}
		if left > 0 && after[0].Width < min(before[0].Width, enough) {
			t.Errorf("seed %d: the first has %d, and a column is left that may go", seed, after[0].Width)
		}
	}
}

// Every cell of a row stands in its column, between the same two columns of the terminal as its
// head, also where letters are wide.
func TestCellsStandInTheirColumns(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 64))
		_, table := fitted(random, 200, 10)
		row := make([]string, len(table))
		for i, c := range table {
			row[i] = shorten([]string{"x", "日本", "1234567", "é"}[random.IntN(4)], c.Width)
		}
		line, from := table.Row(row...), 0
		for i, c := range table {
			if c.dropped {
				continue
			}
			cell := slice(line, from, from+c.Width)
			if strings.TrimSpace(cell) != row[i] {
				t.Fatalf("seed %d: column %d of %q holds %q, want %q", seed, i, line, cell, row[i])
			}
			if padded := strings.TrimSuffix(cell, row[i]) != cell; !c.Left && row[i] != "" && !padded {
				t.Fatalf("seed %d: %q does not end its column: %q", seed, row[i], cell)
			}
			from += c.Width + gapWidth
		}
		if line != strings.TrimRight(line, " ") {
			t.Errorf("seed %d: %q ends in spaces", seed, line)
		}
	}
}

// slice cuts a line by columns of the terminal.
func slice(line string, from, to int) string {
	var b strings.Builder
	at := 0
	for _, r := range line {
		if at >= from && at < to {
			b.WriteRune(r)
		}
		at += cells(string(r))
	}
	return b.String()
}

// A shortened text keeps its first and last letters around one sign, uses the room it has but for
// half a wide letter at each end, and is valid UTF-8.
func TestShorteningKeepsBothEnds(t *testing.T) {
	for seed := range uint64(300) {
		random := rand.New(rand.NewPCG(seed, 65))
		text := strings.Join(randomWords(random, 1+random.IntN(6)), "_")
		width := 1 + random.IntN(cells(text)+3)
		got := shorten(text, width)
		if cells(text) <= width {
			if got != text {
				t.Errorf("seed %d: %q fits %d and became %q", seed, text, width, got)
			}
			continue
		}
		if width <= len("...") {
			if got != "..."[:width] {
				t.Errorf("seed %d: %q became %q in %d", seed, text, got, width)
			}
			continue
		}
		if !bothEnds(text, got) || !utf8.ValidString(got) {
			t.Errorf("seed %d: %q became %q", seed, text, got)
		}
		if n := cells(got); n > width || n < width-2 {
			t.Errorf("seed %d: %q takes %d of %d", seed, got, n, width)
		}
	}
}

// bothEnds tells whether got is both ends of a text with what was cut between them marked.
func bothEnds(text, got string) bool {
	for i := range got {
		head, rest := got[:i], got[i:]
		if tail, cutOut := strings.CutPrefix(rest, "..."); cutOut && strings.HasPrefix(text, head) &&
			strings.HasSuffix(text, tail) {
			return true
		}
	}
	return false
}

// A number as printed, read back, lies within half of its last decimal; its sign is that of what is
// printed, and nothing is printed as -0.
func TestNumbersReadBack(t *testing.T) {
	for seed := range uint64(500) {
		random := rand.New(rand.NewPCG(seed, 66))
		v, decimals := random.NormFloat64()*math.Pow10(random.IntN(6)-3), random.IntN(4)
		for _, printed := range []string{Number(v, decimals, ""), Signed(v, decimals, "")} {
			back, err := strconv.ParseFloat(printed, 64)
			if err != nil || math.Abs(back-v) > 0.5*math.Pow10(-decimals)*(1+1e-9) {
				t.Errorf("%g with %d decimals is %q", v, decimals, printed)
			}
			if strings.HasPrefix(printed, "-") && back == 0 {
				t.Errorf("%g is %q", v, printed)
			}
			if _, part, _ := strings.Cut(printed, "."); len(part) != decimals {
				t.Errorf("%g has not %d decimals: %q", v, decimals, printed)
			}
		}
		if signed := Signed(v, decimals, " dB"); !strings.ContainsAny(signed[:1], "+-") || !strings.HasSuffix(signed, " dB") {
			t.Errorf("%g is signed %q", v, signed)
		}
	}
}

// Scientific notation reads back to two digits, over all decades.
func TestScientificReadsBack(t *testing.T) {
	back := strings.NewReplacer("⁻", "-", "⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5",
		"⁶", "6",
		"⁷",
		"7", "⁸", "8", "⁹", "9", " × 10", "e")
	for power := -30; power <= 30; power++ {
		for _, mantissa := range []float64{1, 1.04, 2.5, 9.94, 9.96, -3.3} {
			v := mantissa * math.Pow10(power)
			read, err := strconv.ParseFloat(back.Replace(Scientific(v)), 64)
			if err != nil || math.Abs(read-v) > 0.051*math.Abs(v) {
				t.Errorf("%g is %q, which reads %g", v, Scientific(v), read)
			}
		}
	}
}

// The last lines name the clips to check by eye where their signs have scrolled away: more than
// eight clips; at most twenty are named, and how many more there are.
func TestClipsThatNeedAPersonAreNamed(t *testing.T) {
	for _, clips := range []int{1, 8, 9, 40} {
		for _, urgent := range []int{0, 1, 20, 25} {
			if urgent > clips {
				continue
			}
			doc := &report.Document{Clips: make([]report.Clip, clips)}
			for i := range doc.Clips {
				doc.Clips[i].Path = fmt.Sprintf("take%d.mov", i)
				if i < urgent {
					doc.Clips[i].Advice.Findings = []advise.Finding{{Level: advise.Alarm}}
				}
			}
			var b bytes.Buffer
			if err := NewAudit(&b, Layout{Width: 80}, report.Paths(doc.Clips)).Summary(doc); err != nil {
				t.Fatal(err)
			}
			named, want := strings.Count(b.String(), "\n    take"), 0
			if clips > 8 {
				want = min(urgent, 20)
			}
			more := clips > 8 && urgent > 20
			if named != want || strings.Contains(b.String(), " 5 more") != more {
				t.Errorf("%d of %d clips: %d named, want %d:\n%s", urgent, clips, named, want, b.String())
			}
		}
	}
}

// Every path of the invented day is told in full where there is room, and every finding's text that
// is not in the verdict, whatever the width: only line breaks differ.
func TestWidthsSayTheSame(t *testing.T) {
	doc := reporttest.Day(t)
	for i := range doc.Clips { // verdicts and failures are wrapped sentences; figures are columns
		c := &doc.Clips[i]
		for _, width := range []int{40, 60, 100, 160} {
			text := strings.Join(strings.Fields(textOf(t, doc, Layout{Width: width})), " ")
			for _, f := range c.Advice.Findings {
				if want := strings.Join(strings.Fields(f.Text), " "); f.Level == advise.Alarm && !strings.Contains(text, want) {
					t.Errorf("in %d columns %q is not told", width, want)
				}
			}
			if want := strings.Join(strings.Fields(c.Advice.Summary), " "); !strings.Contains(text, want) {
				t.Errorf("in %d columns the verdict of %s is not told", width, c.Path)
			}
		}
	}
}

// An interval and a difference that are told hold their value: the sign printed is the value's, and
// the ends stand around it.
func TestFiguresHoldTheirValues(t *testing.T) {
	for seed := range uint64(200) {
		random := rand.New(rand.NewPCG(seed, 67))
		v, half := 3*random.NormFloat64(), 0.01+random.Float64()
		e := estimate(v, v-half, v+half)
		f := advise.Figure{Name: "placement", Unit: "stops", Value: &e,
			Difference: &advise.Difference{Estimate: e, Told: true}}
		low, high, _ := strings.Cut(FigureInterval(f), " to ")
		a, errLow := strconv.ParseFloat(low, 64)
		b, errHigh := strconv.ParseFloat(high, 64)
		if errLow != nil || errHigh != nil || a > v+0.06 || b < v-0.06 || a > b {
			t.Errorf("seed %d: %g lies in %q", seed, v, FigureInterval(f))
		}
		told := FigureDifference(f)
		if told == Untold {
			continue
		}
		number, rest, _ := strings.Cut(told, " ±")
		d, err := strconv.ParseFloat(number, 64)
		if err != nil || math.Abs(d-v) > 0.06 || !strings.HasSuffix(rest, " stops") || strings.HasPrefix(rest, "0 ") {
			t.Errorf("seed %d: a difference of %g is %q", seed, v, told)
		}
		f.Difference.Told = false
		if FigureDifference(f) != Untold || FigureDifference(advise.Figure{}) != curve.Absent {
			t.Errorf("seed %d: what is not told is %q", seed, FigureDifference(f))
		}
	}
}
