// Package levels measures how the luma of a clip is spread: its histogram and percentiles in
// recorded stops, the level of each group of frames, and what the codes in use say of the range
// and depth that the file was read with.
package levels

import (
	"stopledger/analyze/cells"
	"stopledger/curve"
)

// Darkest bounds the logarithm of light at or below zero when levels are averaged in stops.
const Darkest curve.Stops = -12

// A Result is how the luma of a clip is spread, and what that says of how the file was read.
type Result struct {
	Histogram Histogram   // by recorded stops
	Scene     Scene       // log-average and percentiles
	Groups    []Group     // in order of time
	Middle    Cells       // of the first frame of the group nearest to the middle of the clip
	Outside   curve.Share // of the picture outside the codes of narrow range
	UnderZero curve.Share // of the picture below the curve's black, what holds still left out
	Used      int         // codes that occur
	Span      int         // codes from the darkest to the brightest that occur
	Combed    bool        // the codes used stand at even distances, as when fewer bits are stored in more
}

// A Histogram is the share of luma samples by recorded stops, means over the measured frames.
type Histogram struct {
	First  curve.Stops   `json:"first_stops"` // lower edge of the first bin
	Step   curve.Stops   `json:"step_stops"`  // width of a bin
	Shares []curve.Share `json:"shares"`      // of all samples, by bin
	Below  curve.Share   `json:"below"`       // share under the first bin, no light included
}

// A Scene is the level of luma over the clip in recorded stops: log-average and percentiles.
type Scene struct {
	Average curve.Stops `json:"log_average_stops"` // mean of the stops, Darkest where there is no light
	P1      curve.Stops `json:"p1_stops"`          // 1 % of the samples are as dark or darker
	P10     curve.Stops `json:"p10_stops"`         // 10 %
	P50     curve.Stops `json:"p50_stops"`         // half
	P90     curve.Stops `json:"p90_stops"`         // 90 %
	P99     curve.Stops `json:"p99_stops"`         // 99 %
}

// A Group is a run of consecutive measured frames.
type Group struct {
	Number  int           // its place in the sampling plan
	First   int           // number of its first frame in the clip
	T       curve.Seconds // of its first frame
	Frames  int           // measured
	Average curve.Stops   // mean recorded stops of its luma, Darkest where there is no light
}

// Cells are the levels of a frame's cells.
type Cells struct {
	First int           // number of the frame in the clip
	Grid  cells.Grid    // of Stops
	Stops []curve.Stops // recorded stops of each cell's mean code, row by row; Darkest at least
}
