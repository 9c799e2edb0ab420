package lut_test

import (
	"fmt"
	"log"

	"stopledger/curve"
	"stopledger/curve/lut"
)

// V-Log as its manual prints it, three levels in columns of light and 10-bit code.
func ExampleLoad() {
	c, err := lut.Load("testdata/vlog-printed.txt")
	if err != nil {
		log.Fatal(err)
	}
	r := curve.Reading{Curve: c, Range: curve.Narrow, Bits: 10}
	fmt.Println(c.Name, float64(r.CodeOf(0.18)), float64(r.CodeOf(0.9)))
	// Output: vlog-printed 433 602
}
