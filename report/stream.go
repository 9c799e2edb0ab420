package report

// Add notes the next clip.
func (s *Stream) Add(c *Clip) {
	if c.Advice.NeedsPerson() {
		s.Urgent = append(s.Urgent, len(s.Paths))
	}
	if c.Pictures != nil {
		files := c.Pictures.Files()
		s.Shown = append(s.Shown, files[:min(1, len(files))]...)
	}
	s.Paths = append(s.Paths, c.Path)
}

// EachClip hands on the clips in order, whether the document holds them or not.
func (d *Document) EachClip(visit func(i int, c *Clip) error) error {
	if d.Stream != nil {
		return d.Stream.Each(visit)
	}
	for i := range d.Clips {
		if err := visit(i, &d.Clips[i]); err != nil {
			return err
		}
	}
	return nil
}

// Paths returns the paths of the clips in order.
func (d *Document) Paths() []string {
	if d.Stream != nil {
		return d.Stream.Paths
	}
	return Paths(d.Clips)
}

// Paths returns the paths of clips.
func Paths(clips []Clip) []string {
	paths := make([]string, len(clips))
	for i := range clips {
		paths[i] = clips[i].Path
	}
	return paths
}

// Measured is how many clips were measured.
func (d *Document) Measured() int {
	if d.Stream != nil {
		return len(d.Stream.Paths)
	}
	return len(d.Clips)
}

// Urgent returns the paths of the clips that are to be checked by eye, in order.
func (d *Document) Urgent() (paths []string) {
	s := d.stream()
	for _, i := range s.Urgent {
		paths = append(paths, s.Paths[i])
	}
	return paths
}

// Shown returns the names of pictures, one of each clip that has some.
func (d *Document) Shown() []string { return d.stream().Shown }

// stream is what is known of the clips without holding them.
func (d *Document) stream() *Stream {
	if d.Stream != nil {
		return d.Stream
	}
	s := &Stream{}
	for i := range d.Clips {
		s.Add(&d.Clips[i])
	}
	return s
}
