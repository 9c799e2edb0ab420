package terminal

import (
	"testing"
	"time"
)

func TestTimeLeft(t *testing.T) {
	for _, test := range []struct {
		gone      time.Duration
		done, all float64
		want      string
	}{
		{time.Second, 1, 10, ""}, // too soon to tell
		{time.Minute, 0.1, 10, ""},
		{time.Minute, 10, 10, ""},
		{time.Minute, 5, 10, "1 min left"},
		{time.Minute, 9, 10, "less than a minute left"},
		{10 * time.Minute, 12, 300, "4.0 h left"},
	} {
		if got := timeLeft(test.gone, test.done, test.all); got != test.want {
			t.Errorf("%v for %g of %g: %q, want %q", test.gone, test.done, test.all, got, test.want)
		}
	}
}

func TestProgressLine(t *testing.T) {
	began := time.Now()
	b := &bar{shares: []float64{1, 0.5, 0}, names: []string{"C001.mov", "C002.mov", "C003.mov"}, last: 1, began: began}
	if got := b.line(began.Add(3 * time.Minute)); got != "1 of 3, C002.mov, 3 min left" {
		t.Errorf("%q", got)
	}
	b.names = nil
	if got := b.line(began); got != "1 of 3" {
		t.Errorf("%q", got)
	}
}
