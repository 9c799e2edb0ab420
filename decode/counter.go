package decode

import "container/heap"

// A counter numbers frames in display order as they leave the decoder, from the time stamps
// of the packets that went in: a frame's number is how many time stamps are below its own. A
// packet whose frame never came out is counted too, so that numbers stay right after damage.
type counter struct {
	next    int // number of the next frame
	missing int // numbers that were passed over
	waiting times

	// inOrder: packets and frames do not match one to one (hidden reference pictures, fields
	// in packets of their own), so frames are just counted as they come.
	inOrder bool
}

// sent notes a packet that will be displayed.
func (c *counter) sent(pts int64) {
	if pts != noTime && !c.inOrder {
		heap.Push(&c.waiting, pts)
	}
}

// came returns the number of a frame that left the decoder.
func (c *counter) came(pts int64) int {
	for pts != noTime && len(c.waiting) > 0 && c.waiting[0] < pts {
		heap.Pop(&c.waiting)
		c.next++
		c.missing++
	}
	if len(c.waiting) > 0 && c.waiting[0] == pts {
		heap.Pop(&c.waiting)
	}
	c.next++
	return c.next - 1
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
