package advise

// A Comparison holds takes side by side, each against the first, and which to use.
type Comparison struct {
	Takes          []Take         `json:"takes"`          // in the order given
	Recommendation Recommendation `json:"recommendation"` // which to use
}

// Compare sets takes side by side, each against the first.
func Compare(takes []Measured) Comparison {
	c := Comparison{Takes: []Take{}}
	for _, m := range takes {
		t := Take{Path: m.Path, Figures: figures(m)}
		if len(c.Takes) > 0 {
			for i := range t.Figures {
				t.Figures[i].Difference = difference(t.Figures[i].Value, c.Takes[0].Figures[i].Value)
			}
		}
		c.Takes = append(c.Takes, t)
	}
	c.Recommendation = recommend(c.Takes, groundless(takes))
	return c
}
