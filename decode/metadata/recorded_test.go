package metadata

import "testing"

// Forms of dates as files have them: ISO 8601 with and without a colon in the zone, as FFmpeg writes
// the movie header's time, and clocks that were not set.
func TestRecordedAt(t *testing.T) {
	for said, want := range map[string]string{
		"2026-11-02T23:10:00+09:00":   "2026-11-02T23:10:00+09:00",
		"2026-11-02T23:10:00-0730":    "2026-11-02T23:10:00-07:30",
		"2026-11-02T14:10:00.000000Z": "2026-11-02T14:10:00Z",
		"1904-01-01T00:00:00Z":        "",
		"1970-01-01T00:00:00+01:00":   "",
		"2026-11-02":                  "",
		"2026-13-02T14:10:00Z":        "",
		"":                            "",
	} {
		if got := recordedAt(said); got != want {
			t.Errorf("%q: %q, want %q", said, got, want)
		}
	}
}
