package main

import (
	"context"

	"stopledger/analyze"
	"stopledger/curve"
	"stopledger/report"
)

// auditSettings say how clips are to be read and what is asked of them; every flag is checked.
type auditSettings struct {
	Curve  *curve.Curve  // named with --curve; nil for auto
	Assume *curve.Curve  // for clips that name no curve; nil leaves such clips unmeasured
	Index  int           // exposure index for curves that have one, already applied to Curve and Assume where they take it; 0 for auto
	Range  *curve.Range  // nil for auto
	Matrix *curve.Matrix // nil for auto

	Patches     []analyze.Patch // at most two; the first one holds the grey
	Grey        string          // auto, region, card, chart, face or scene
	FaceIsGrey  bool            // a face may be the ground for a correction
	Reflectance float64         // of a detected card, 0.18 for mid grey
	Edition     string          // of the chart: 1976, 2005 or 2014

	Target      float64 // stops over nominal
	SceneTarget bool    // the scene's log-average may be the ground for a correction
	Lifts       []float64
	EveryFrame  bool
	Pictures    bool // take stills
	Threads     int  // for this clip

	// HeldGrey waits for the clips before this one and returns the last of them that has grey of
	// its own, or nil. It is nil without --hold-grey.
	HeldGrey func(context.Context) *report.Clip

	// Shadows waits for the first take and returns the area of its enlarged strip, so that takes
	// are compared in the same place; nil where each clip has its own.
	Shadows func(context.Context) *report.Rect

	// Progress takes how much of this clip is done, 0..1. It is never nil.
	Progress func(share float64)
}
