package decode

import "container/heap"

// A counter numbers frames in display order as they leave the decoder, from the time stamps
// of the packets that went in: a frame's number is how many time stamps are below its own. A
// packet whose frame never came out is counted too, so that numbers stay right after damage.
type counter struct {
	next    int // number of the next frame
	missing int // numbers that were passed over
	waiting times

	// inOrder: time stamps do not tell the order, so frames are just counted as they come.
	inOrder bool

	landing *landing // of the last seek
}

// from starts anew after a seek.
func (c *counter) from(l landing) {
	*c = counter{next: l.number, missing: c.missing, inOrder: c.inOrder, landing: &l}
}

// sent notes a packet that will be displayed.
func (c *counter) sent(pts int64) {
	if pts == noTime || c.inOrder {
		return
	}
	if c.landing != nil && c.landing.byTime && pts < c.landing.key {
		c.next-- // shown before the key packet, whose number next was
	}
	heap.Push(&c.waiting, pts)
}

// came returns the number of a frame that left the decoder; it is least or above. Frames shown
// before the key packet of a seek are unknown: they may refer to others from before the seek.
func (c *counter) came(pts int64, least int) (number int, known bool) {
	known = c.landing == nil || pts >= c.landing.key
	for pts != noTime && len(c.waiting) > 0 && c.waiting[0] < pts {
		if c.landing == nil || c.waiting[0] >= c.landing.key {
			c.missing++
		}
		heap.Pop(&c.waiting)
		c.next++
	}
	if len(c.waiting) > 0 && c.waiting[0] == pts {
		heap.Pop(&c.waiting)
	}
	if lost := least - c.next; lost > 0 {
		c.missing += lost
		c.next += lost
	}
	c.next++
	return c.next - 1, known
}

// times is a heap of time stamps.
type times []int64

func (t times) Len() int           { return len(t) }
func (t times) Less(i, j int) bool { return t[i] < t[j] }
func (t times) Swap(i, j int)      { t[i], t[j] = t[j], t[i] }
func (t *times) Push(x any)        { *t = append(*t, x.(int64)) }
func (t *times) Pop() any {
	old := *t
	last := old[len(old)-1]
	*t = old[:len(old)-1]
	return last
}
