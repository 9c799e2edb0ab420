package testframes

import (
	"testing"

	"stopledger/curve"
)

// Curve returns a published curve.
func Curve(t testing.TB, name string) *curve.Curve {
	t.Helper()
	c, err := curve.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Reading reads frames of a depth with S-Log3, a curve that has a toe.
func Reading(t testing.TB, bits int) curve.Reading {
	t.Helper()
	return curve.Reading{Curve: Curve(t, "S-Log3"), Bits: bits}
}
