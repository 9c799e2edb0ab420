package plan

import (
	"stopledger/analyze/clipping"
	"stopledger/analyze/limit"
	"stopledger/curve"
)

// A Plan says where to place grey, at which ISO, and what zebras then read.
type Plan struct {
	Curve   string   `json:"curve"`         // name
	Profile *string  `json:"profile"`       // file; nil for none
	Scene   Scene    `json:"scene"`         // planned for
	Tones   []Tone   `json:"tones"`         // that zebras are set by, with their sources
	Choices []Choice `json:"choices"`       // what each ISO holds, lowest ISO first
	Rows    []Row    `json:"rows"`          // placements at each ISO
	Night   *Night   `json:"night"`         // ISOs at equal light; nil without two
	Above   *int     `json:"no_gain_above"` // ISO above which gain brings nothing; nil where not known
	Advice  string   `json:"advice"`        // what to do, a few sentences
	Guide   Guide    `json:"guide"`         // to be carried
}

// A Choice is what one ISO holds of the scene.
type Choice struct {
	ISO       *int            `json:"iso"`             // nil where it is not known
	Placement curve.Stops     `json:"placement_stops"` // recommended
	Lowest    curve.Stops     `json:"lowest_stops"`    // placement from which the scene's low end is clean enough
	Highest   curve.Stops     `json:"highest_stops"`   // up to which its high end holds with the reserve
	Short     curve.Stops     `json:"short_stops"`     // by how much Lowest lies over Highest; 0 where both hold
	Fits      bool            `json:"fits"`            // a placement holds both
	Ceiling   curve.Stops     `json:"ceiling_stops"`   // recorded
	Origin    clipping.Origin `json:"ceiling_origin"`  // where it is from
	Floor     curve.Stops     `json:"floor_stops"`     // recorded, where SNR is 1

	Recommended bool        `json:"recommended"` // of all ISOs, where there is as much light as is wanted
	Clean       curve.Stops `json:"clean_stops"` // recorded, from where the SNR is what is wanted at least
}

// Placements of the rows: from Lowest to Highest, Step apart. Common practice, no source: log is exposed
// from a stop under to some three over.
const (
	firstPlacement curve.Stops = -1
	lastPlacement  curve.Stops = 4
	placementStep  curve.Stops = 0.5
)

// Make works a plan out.
func Make(q Request) Plan {
	p := Plan{Curve: q.Reading.Curve.Name, Scene: q.Scene, Tones: Tones(), Choices: []Choice{}, Rows: []Row{},
		Above: q.Above}
	if q.Profile != "" {
		p.Profile = &q.Profile
	}
	for _, s := range q.Sensors {
		c := choose(s, q.Scene)
		p.Choices = append(p.Choices, c)
		p.Rows = append(p.Rows, rowsOf(q, s, c)...)
	}
	p.Choices[widest(p.Choices)].Recommended = true
	p.Night = nightOf(q)
	p.Advice, p.Guide = p.words(q.Notes), p.pocket(q.Reading)
	return p
}

// choose finds the placements at which a sensor holds a scene. Recommended is the light at which the low
// end has the usual SNR wanted, nominal at least, and no more than the highlights allow.
func choose(s Sensor, scene Scene) Choice {
	c := Choice{ISO: s.iso(), Lowest: s.reaching(scene, limit.ThinSNR), Highest: s.highest(scene),
		Ceiling: s.Ceiling, Origin: s.Origin, Floor: s.reaching(Scene{}, 0), Clean: s.reaching(Scene{}, limit.ThinSNR)}
	wanted := s.reaching(scene, limit.WantedSNR[1])
	if !curve.Finite(wanted) {
		wanted = 0
	}
	c.Placement = min(max(wanted, 0), c.Highest)
	if c.Lowest > c.Highest {
		c.Short = c.Lowest - c.Highest
	}
	c.Fits = c.Short == 0
	return c
}

// widest returns the choice with most room between the two ends of its placements, the lowest ISO of those
// as good.
func widest(choices []Choice) (best int) {
	const asGood curve.Stops = 0.1
	for i, c := range choices {
		if c.Highest-c.Lowest > choices[best].Highest-choices[best].Lowest+asGood {
			best = i
		}
	}
	return best
}

// rowsOf returns the rows of a sensor, the recommended placement among them.
func rowsOf(q Request, s Sensor, c Choice) (rows []Row) {
	const same = 0.005 // stops: it prints alike
	told := false
	for at := firstPlacement; at <= lastPlacement; at += placementStep {
		recommended := c.Placement > at-same && c.Placement < at+same
		if !told && c.Placement <= at-same {
			rows, told = append(rows, row(q, s, c.Placement, true)), true
		}
		told = told || recommended
		rows = append(rows, row(q, s, at, recommended))
	}
	if !told {
		rows = append(rows, row(q, s, c.Placement, true))
	}
	return rows
}
