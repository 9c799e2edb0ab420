package synth_test

import (
	"fmt"
	"log"
	"os"
	"path/filepath"

	"stopledger/curve"
	"stopledger/decode/synth"
)

// A take of the wheelhouse, two thirds of a stop over, at ISO 3200 on a camera of base 800.
func ExampleRecord() {
	slog3, err := curve.Find("S-Log3")
	if err != nil {
		log.Fatal(err)
	}
	site := synth.Photosite{FullWell: 30000, ReadE: 3, BaseISO: 800, ISO: 3200, BaseCeiling: curve.Stops(6).Light()}
	cam := synth.NewCamera(320, 180, slog3)
	cam.Noise = site.Noise()

	dir, err := os.MkdirTemp("", "take")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	shot := synth.Shot{Scene: synth.Wheelhouse(320, 180), Stops: 2.0 / 3, Frames: 8, Seed: 1}
	truth, err := synth.Record(filepath.Join(dir, "take.mov"), cam, shot, synth.Encoding{Codec: synth.ProRes422})
	if err != nil {
		log.Fatal(err)
	}
	card, _ := truth.Region("card")
	fmt.Printf("grey landed at %+.2f stops, in %v\n", truth.Placement, card.Rect(0))
	fmt.Printf("the floor is at %+.1f stops\n", truth.FloorStops)
	fmt.Printf("%.1f %% of the frame clips in some channel\n", 100*truth.Clipped.Any)
	// Output:
	// grey landed at +0.67 stops, in {100 62 45 44}
	// the floor is at -5.5 stops
	// 0.0 % of the frame clips in some channel
}
