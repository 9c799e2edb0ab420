package advise

import (
	"stopledger/analyze/noise"
	"stopledger/curve"
)

func snrOf(r *noise.Result, recorded curve.Stops) noise.Estimate { panic("not moved yet") }
func reaches(r *noise.Result, snr curve.Decibels) curve.Stops    { panic("not moved yet") }
