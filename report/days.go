package report

import (
	"io"

	"stopledger/curve"
)

// DaysSchema names the format of Days.
const DaysSchema = "stopledger/ledger/1"

// Days are what many audits measured, by day.
type Days struct {
	Schema  string    `json:"schema"`           // DaysSchema
	Tool    Tool      `json:"tool"`             // that wrote it
	Since   string    `json:"since,omitempty"`  // the first day asked for
	Camera  string    `json:"camera,omitempty"` // what its name was to hold
	Audits  []string  `json:"audits"`           // folders whose ledgers were read
	Unread  []Failure `json:"unread"`           // those that could not be read
	Clips   int       `json:"clips"`            // counted
	Again   int       `json:"duplicates"`       // clips left out, as a later audit has them too
	Undated int       `json:"undated"`          // clips left out, as neither they nor their files have a date
	Days    []Day     `json:"days"`             // in order
}

// A Day is what was recorded on it, wherever it was: days are those of the zones of their clips.
type Day struct {
	Date       string   `json:"date"`         // year-month-day
	Zones      []string `json:"zones"`        // offsets from UTC that its clips' dates are in
	ByFileTime int      `json:"by_file_time"` // clips dated by their file, as they do not say when they were recorded
	Clips      int      `json:"clips"`        // of all groups
	Groups     []Group  `json:"groups"`       // by camera and ISO
}

// A Group is what one camera recorded on a day at one ISO.
type Group struct {
	Camera    string            `json:"camera"`          // make and model; "" where unknown
	ISO       int               `json:"iso,omitempty"`   // or exposure index
	Curves    []string          `json:"curves"`          // that its clips were read with
	Clips     int               `json:"clips"`           // in it
	Placement Span[curve.Stops] `json:"placement_stops"` // over nominal, of clips with grey
	NoGrey    int               `json:"no_grey"`         // clips without: a scene's average is none
	Floor     Span[curve.Stops] `json:"floor_stops"`     // recorded stops at which signal equals noise
	Clipped   Span[curve.Share] `json:"clipped"`         // share of the frame, any channel
}

// A Span is how far a figure lies apart over clips; all null where none has it.
type Span[T any] struct {
	Median T   `json:"median"` // of the clips that have it
	Least  T   `json:"least"`  // of them
	Most   T   `json:"most"`   // of them
	Clips  int `json:"clips"`  // that have it
}

// WriteDaysJSON writes the days as one JSON value, indented, with a newline at its end.
func WriteDaysJSON(w io.Writer, d *Days) error {
	whole := *d
	whole.Audits, whole.Unread, whole.Days = listed(d.Audits), listed(d.Unread), listed(d.Days)
	return writeJSON(w, &whole)
}
