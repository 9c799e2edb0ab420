package decode

import "container/heap"

// A counter numbers frames in display order as they leave the decoder, from the time stamps
// of the packets that went in: a frame's number is how many time stamps are below its own. A
// packet whose frame never came out is counted too, so that numbers stay right after damage.
type counter struct {
	next    int // number of the next frame
	missing int // numbers that were passed over
	waiting dues

	// inOrder: time stamps do not tell the order, so frames are just counted as they come.
	inOrder bool

	landing *landing // of the last seek
}

// from starts anew after a seek.
func (c *counter) from(l landing) {
	*c = counter{next: l.number, missing: c.missing, inOrder: c.inOrder, landing: &l}
}

// sent notes a packet that will be displayed.
func (c *counter) sent(pts int64) { c.expect(due{pts, false}) }

// passed notes one that would be, had it been decoded.
func (c *counter) passed(pts int64) { c.expect(due{pts, true}) }

func (c *counter) expect(d due) {
	if d.pts == noTime || c.inOrder {
		return
	}
	if c.landing != nil && c.landing.byTime && d.pts < c.landing.key {
		c.next-- // shown before the key packet, whose number next was
	}
	heap.Push(&c.waiting, d)
}

// came returns the number of a frame that left the decoder; it is least or above. Frames shown
// before the key packet of a seek are unknown: they may refer to others from before the seek.
func (c *counter) came(pts int64, least int) (number int, known bool) {
	known = c.landing == nil || pts >= c.landing.key
	for pts != noTime && len(c.waiting) > 0 && c.waiting[0].pts < pts {
		if d := c.waiting[0]; !d.passed && (c.landing == nil || d.pts >= c.landing.key) {
			c.missing++
		}
		heap.Pop(&c.waiting)
		c.next++
	}
	if len(c.waiting) > 0 && c.waiting[0].pts == pts {
		heap.Pop(&c.waiting)
	}
	if lost := least - c.next; lost > 0 {
		c.missing += lost
		c.next += lost
	}
	c.next++
	return c.next - 1, known
}

// A due is a frame to come, by its time stamp.
type due struct {
	pts    int64
	passed bool // it is not decoded
}

// dues is a heap, the earliest first.
type dues []due

func (d dues) Len() int           { return len(d) }
func (d dues) Less(i, j int) bool { return d[i].pts < d[j].pts }
func (d dues) Swap(i, j int)      { d[i], d[j] = d[j], d[i] }
func (d *dues) Push(x any)        { *d = append(*d, x.(due)) }
func (d *dues) Pop() any {
	old := *d
	last := old[len(old)-1]
	*d = old[:len(old)-1]
	return last
}
