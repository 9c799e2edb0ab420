package text

// A Layout says how text is laid out for whoever reads it.
type Layout struct {
	Width int  // columns of the terminal; 0 for no limit: nothing is wrapped, shortened or left out
	Color bool // mark by colour too what a sign or a word already says
}

// paint wraps text in the escapes of a colour where the layout has colour.
func (l Layout) paint(style, text string) string {
	if !l.Color || style == "" || text == "" {
		return text
	}
	return "\x1b[" + style + "m" + text + "\x1b[0m"
}

// Styles of ISO/IEC 6429 (ECMA-48, 8.3.117): bold with one of the eight colours.
const (
	styleAlarm   = "1;31"
	styleCaution = "1;33"
	styleHead    = "2"
)
