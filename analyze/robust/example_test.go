package robust_test

import (
	"fmt"

	"stopledger/analyze/robust"
)

// A straight line through points of which two lie elsewhere: least squares would follow them.
func ExampleTheilSen() {
	x := []float64{0, 1, 2, 3, 4, 5, 6, 7}
	y := []float64{1, 3, 5, 70, 9, 11, -40, 15} // 1 + 2 x, but for the fourth and the seventh
	slope, offset := robust.TheilSen(x, y, 1)
	fmt.Printf("y = %.0f + %.0f x\n", offset, slope)
	// Output: y = 1 + 2 x
}

// The variance that most samples have in common, of 253 degrees of freedom each; something moves in
// the last three.
func ExampleTrimmedVariance() {
	variances := []float64{0.91, 0.93, 0.95, 0.96, 0.98, 0.99, 1, 1, 1.01, 1.03, 1.04, 1.06, 1.08, 1.11, 2.4, 5.1, 19}
	t := robust.TrimmedVariance(variances, 253)
	fmt.Printf("%d of %d, variance %.2f\n", t.Kept, len(variances), t.Variance)
	// Output: 14 of 17, variance 1.00
}
