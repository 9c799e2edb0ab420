package report

import (
	"stopledger/analyze/advise"
	"stopledger/curve"
)

// Schema1 is the layout before Schema.
const Schema1 = "stopledger/audit/1"

// upgrade makes a document of schema 1 one of this schema: what it did not have is unknown, and a
// hold without ground is no advice.
func (d *Document) upgrade() {
	d.Schema, d.Complete = Schema, true
	for i := range d.Clips {
		d.Clips[i].upgrade()
	}
}

func (c *Clip) upgrade() {
	stops, db := curve.Unknown[curve.Stops](), curve.Unknown[curve.Decibels]()
	a := &c.Advice
	a.Low, a.High, a.After.Low, a.After.High = stops, stops, db, db
	if a.Action == advise.Hold && (c.Placement == nil || c.Placement.Weak) {
		a.Action, a.Stops = advise.None, 0
	}
	a.Offset = stops
	if a.Action != advise.None {
		a.Offset = a.Correction()
	}
	c.Highlights.Low, c.Highlights.High = curve.Unknown[curve.Share](), curve.Unknown[curve.Share]()
	n := &c.Noise
	n.FloorLow, n.FloorHigh = stops, stops
	n.Coding.Loss, n.Coding.Low, n.Coding.High = db, db, db
	if p := c.Placement; p != nil {
		p.Reading, p.Reference = stops, stops
	}
}
