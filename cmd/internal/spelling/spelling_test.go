package spelling

import "testing"

func TestNearest(t *testing.T) {
	names := []string{"region", "reflectance", "out", "gate"}
	for typed, want := range map[string]string{
		"regoin": "region", "regions": "region", "reflektance": "reflectance", "ot": "out", "xyzzy": "", "": "",
		"gte": "gate",
	} {
		if got := Nearest(typed, names); got != want {
			t.Errorf("%q: got %q, want %q", typed, got, want)
		}
	}
}
