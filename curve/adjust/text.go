package adjust

import (
	"bufio"
	"encoding/xml"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A printer writes a text, and keeps the first error.
type printer struct {
	w   *bufio.Writer
	err error
}

func newPrinter(w io.Writer) *printer { return &printer{w: bufio.NewWriter(w)} }

// line writes strings as one line.
func (p *printer) line(parts ...string) {
	for _, s := range append(parts, "\n") {
		if p.err == nil {
			_, p.err = p.w.WriteString(s)
		}
	}
}

// element writes an XML element that holds a text.
func (p *printer) element(indent, name, content string) {
	p.line(indent, "<", name, ">", escaped(content), "</", name, ">")
}

func (p *printer) end() error {
	if p.err == nil {
		p.err = p.w.Flush()
	}
	return p.err
}

// escaped is a text within XML; what XML cannot hold becomes U+FFFD.
func escaped(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(oneLine(s)))          // a Builder takes everything
	return strings.ReplaceAll(b.String(), "&#39;", "'") // attributes stand in double quotes
}

// oneLine keeps a text, such as the name of a file, on its line.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == '\u2028' || r == '\u2029' {
			return utf8.RuneError
		}
		return r
	}, s)
}

// exact is a number with all its digits and no exponent.
func exact(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// fixed is a number as it is written, with decimals.
func fixed(v float64, decimals int) string {
	return strconv.FormatFloat(rounded(v, decimals), 'f', decimals, 64)
}

// rounded is a number as it is read again.
func rounded(v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(v*scale)/scale + 0 // -0 + 0 is 0
}

// folded breaks a text into lines of at most most bytes, between words where there are any.
func folded(s string, most int) (lines []string) {
	s = strings.ToValidUTF8(oneLine(s), string(utf8.RuneError))
	for len(s) > most {
		at := strings.LastIndexByte(s[:most+1], ' ')
		if at <= 0 {
			for at = most; !utf8.RuneStart(s[at]); at-- {
			}
		}
		lines = append(lines, s[:at])
		s = strings.TrimLeft(s[at:], " ")
	}
	return append(lines, s)
}
