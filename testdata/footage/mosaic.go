package footage

import (
	"encoding/json"
	"os"
	"testing"
)

// A Tile is one flat field of the EMVA 1288 reference set 002 (8-bit CMOS), as the truth beside the
// clip has it.
type Tile struct {
	Tile      [4]int  `json:"tile"`             // x, y, width, height, pixels
	Mean      float64 `json:"mean_dn"`          // codes
	Variance  float64 `json:"temporal_var_dn2"` // squared codes, rounding included
	Saturated float64 `json:"saturated_share"`  // of its pixels, 0..1
}

// Compared reports whether a tile's variance can be compared: unclipped, and above half a code.
func (m Tile) Compared() bool { return m.Saturated == 0 && m.Variance >= 0.25 }

// Mosaic returns the 48 tiles of emva002/mosaic48_linear8.mkv.
func Mosaic(t testing.TB) (tiles []Tile) {
	t.Helper()
	path := Path(t, "emva002/mosaic48.truth.json")
	raw, err := os.ReadFile(path)
	if err == nil {
		err = json.Unmarshal(raw, &tiles)
	}
	if err != nil {
		t.Fatal(err)
	}
	if len(tiles) != 48 {
		t.Fatalf("%d tiles in %s", len(tiles), path)
	}
	return tiles
}
