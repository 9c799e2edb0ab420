package testframes

import (
	"math"
	"reflect"

	"github.com/google/go-cmp/cmp"
)

// SameBits compares numbers of any unit for equality to the last bit; NaN, which is a number not
// measured, equals NaN.
func SameBits() cmp.Option {
	isFloat := func(p cmp.Path) bool { t := p.Last().Type(); return t != nil && t.Kind() == reflect.Float64 }
	return cmp.FilterPath(isFloat, cmp.Comparer(func(a, b any) bool {
		x, y := reflect.ValueOf(a).Float(), reflect.ValueOf(b).Float()
		return x == y || math.IsNaN(x) && math.IsNaN(y)
	}))
}
