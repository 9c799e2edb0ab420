package report

// Brief returns the clip without what its own page alone shows: what a list of many clips can hold.
func (c Clip) Brief() Clip {
	c.Histogram.Shares, c.Over = nil, nil
	c.Noise.Tones, c.Noise.Result.Tones = nil, nil
	c.Noise.Channels, c.Noise.Result.Channels, c.Noise.Graded = nil, nil, nil
	c.Noise.Groups, c.Noise.Tilted, c.Noise.Codec.ByPicture = nil, nil, nil
	c.Noise.Model, c.Noise.Least, c.Noise.Most, c.Noise.Recorded = nil, nil, nil, nil
	c.Advice.Graded, c.Advice.Next.For = nil, nil
	c.Highlights.Groups = nil
	if p := c.Placement; p != nil {
		brief := *p
		brief.Series, brief.Candidates = nil, nil
		c.Placement = &brief
	}
	return c
}

// EachWhole hands on the whole clips in order, also where Clips holds them in brief.
func (d *Document) EachWhole(visit func(i int, c *Clip) error) error {
	if d.Whole != nil {
		return d.Whole(visit)
	}
	for i := range d.Clips {
		if err := visit(i, &d.Clips[i]); err != nil {
			return err
		}
	}
	return nil
}

// Rounded returns a copy of the clip as Document.Rounded does.
func (c *Clip) Rounded() (*Clip, error) {
	out := &Clip{}
	return out, round(c, out)
}
