package curve_test

import (
	"fmt"
	"log"

	"stopledger/curve"
)

// The codes of a 10-bit narrow-range file in S-Log3: grey as published, and a level over it.
func ExampleReading() {
	c, err := curve.Find("slog3")
	if err != nil {
		log.Fatal(err)
	}
	r := curve.Reading{Curve: c, Range: curve.Narrow, Bits: 10}
	for _, code := range []curve.FileCode{420, 548} {
		fmt.Println(r.Code(code), r.Percent(code), r.Stops(code).Signed(2))
	}
	fmt.Println(r.PercentOf(curve.Stops(1.65).Light()))
	// Output:
	// 420 40.6 % +0.00 stops
	// 548 55.3 % +1.68 stops
	// 55.0 %
}

// The same grey in a 12-bit file is recorded at four times the code.
func ExampleReading_FileCode() {
	c, err := curve.Find("slog3")
	if err != nil {
		log.Fatal(err)
	}
	r := curve.Reading{Curve: c, Range: curve.Narrow, Bits: 12}
	fmt.Println(float64(r.CodeOf(curve.MidGrey)), r.Code(1680), float64(r.FileCode(420)))
	// Output: 1680 420 1680
}

// A table answers for every code of the file without working the formula out again; mean codes
// lie between two of them.
func ExampleTable() {
	c, err := curve.Find("vlog")
	if err != nil {
		log.Fatal(err)
	}
	t := curve.Reading{Curve: c, Range: curve.Narrow, Bits: 10}.Table()
	fmt.Printf("%.4f %.4f\n", t.Light[433], t.LightAt(433.5))
	fmt.Println(curve.At(t.Stops, 433.5).Signed(3))
	// Output:
	// 0.1799 0.1808
	// +0.006 stops
}
