package curve

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

func TestFind(t *testing.T) {
	for _, c := range All() {
		for _, spelled := range []string{
			c.Name, strings.ToLower(c.Name), strings.ToUpper(c.Name),
			strings.NewReplacer("-", "", " ", "", ".", "").Replace(c.Name),
			strings.ReplaceAll(c.Name, " ", "_"), "  " + c.Name + " ",
		} {
			if got, err := Find(spelled); err != nil || got.Name != c.Name {
				t.Errorf("Find(%q) = %v, %v, want %s", spelled, got, err, c.Name)
			}
		}
	}
	for spelled, want := range map[string]string{
		"slog3": "S-Log3", "clog2": "Canon Log 2", "rec709": "BT.709", "ST_2084": "PQ",
		"gamma2.4": "BT.1886", "logc": "LogC3", "logc3ei160": "LogC3 EI160",
	} {
		if got, err := Find(spelled); err != nil || got.Name != want {
			t.Errorf("Find(%q): %v, want %s", spelled, err, want)
		}
	}
}

// No two curves answer to one name.
func TestNamesAreDistinct(t *testing.T) {
	owner := map[string]string{}
	for _, c := range All() {
		for _, k := range c.keys() {
			if o, taken := owner[k]; taken {
				t.Errorf("%s and %s both answer to %q", o, c.Name, k)
			}
			owner[k] = c.Name
		}
	}
}

func TestUnknownNameOffersTheNearest(t *testing.T) {
	for name, want := range map[string]string{
		"slog4": "S-Log3", "vlogg": "V-Log", "cannon log 3": "Canon Log 3", "hgl": "HLG", "acesct": "ACEScct",
	} {
		_, err := Find(name)
		var unknown *UnknownError
		if !errors.As(err, &unknown) {
			t.Fatalf("Find(%q): %v, want an UnknownError", name, err)
		}
		if !slices.Contains(unknown.Nearest, want) {
			t.Errorf("Find(%q) offers %v, want %s among them", name, unknown.Nearest, want)
		}
		if !strings.Contains(err.Error(), "stopledger curves") {
			t.Errorf("Find(%q): %q does not say where the names are listed", name, err)
		}
	}
}

// All is a copy: a caller cannot change the table.
func TestAllIsACopy(t *testing.T) {
	All()[0] = nil
	if All()[0] == nil {
		t.Error("the table of curves was changed through All")
	}
}

func FuzzFind(f *testing.F) {
	for _, s := range []string{"S-Log3", "logc3 ei1600", "logc3ei99999999999999999999", "", "\xff\x00", "log c ei"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, name string) {
		c, err := Find(name)
		if (c == nil) == (err == nil) {
			t.Fatalf("Find(%q) = %v, %v: want a curve or an error", name, c, err)
		}
	})
}

func FuzzRoundTrip(f *testing.F) {
	f.Add(uint8(1), 0.18)
	f.Add(uint8(12), 0.00605)
	f.Fuzz(func(t *testing.T, which uint8, x float64) {
		c := All()[int(which)%len(All())]
		if Light(x) > c.Decode(c.Top) || x < -1 {
			return
		}
		if lowest, held := foot[c.Name]; held && x < lowest {
			return
		}
		back := float64(c.Decode(c.Encode(Light(x))))
		if d := back - x; d > roundTripLight*max(1, x) || -d > roundTripLight*max(1, x) {
			t.Errorf("%s: %g comes back as %g", c.Name, x, back)
		}
	})
}
