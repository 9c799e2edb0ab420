package analyze

import (
	"strings"
	"testing"
)

// checkTexts fails for texts that show what is no number, or a negative zero.
func checkTexts(t *testing.T, a Advice) {
	t.Helper()
	texts := []string{a.Next.Text}
	for _, f := range a.Findings {
		texts = append(texts, f.Text)
	}
	for _, text := range texts {
		for _, bad := range []string{"NaN", "Inf", "-0.0 ", "-0.00 ", "-0 ", "%!", "+0.0 ", "+0.00 "} {
			if strings.Contains(text, bad) {
				t.Errorf("text shows %q: %s", bad, text)
			}
		}
		if text == "" || !strings.HasSuffix(text, ".") {
			t.Errorf("not a sentence: %q", text)
		}
	}
}
