// Package gop tells which packets of a stream, whose frames are predicted from others, have to be decoded
// for some of its frames. It knows packets by their time stamps and NAL units, and sees nothing of FFmpeg.
package gop

import "slices"

// A Packet is what is known of a packet before it is decoded. Times are in any one unit.
type Packet struct {
	Shown   int64 // when its frame is shown
	Decoded int64 // when it is decoded; this rises from packet to packet, and is not later than Shown
	Timed   bool  // both are known
	Hidden  bool  // its frame is not shown, as an edit list has it
	Spare   bool  // no other refers to its frame
}

// A Step is what is to be done next.
type Step int

// Steps.
const (
	Read Step = iota // add another packet, or say that there is none
	Send             // take the first packet and decode it
	Pass             // take the first packet: its frame is not wanted and none refers to it
	Stop             // all that is wanted was decoded
)

// mostAhead bounds the packets that are held; pictures of H.264 and HEVC are moved by 16 at most.
const mostAhead = 24

// A Queue holds packets, in decoding order, until it is known which frames they are. A frame's number is
// how many are shown before it: it is sure once a packet is decoded later than the frame is shown, because
// those that follow are shown later still.
type Queue[P any] struct {
	base    int     // number of the first frame that counts
	from    int64   // frames shown before are not counted
	shown   []int64 // times of the frames that count, in order
	latest  int64   // at which a packet is decoded
	ended   bool
	plain   bool // packets are passed on as they come
	waiting []entry[P]
}

type entry[P any] struct {
	Packet
	payload P
}

// NewQueue returns an empty queue. The first frame shown at from, or later, has the number base.
func NewQueue[P any](base int, from int64) *Queue[P] { return &Queue[P]{base: base, from: from} }

// NewPlainQueue returns a queue that has every packet decoded as it comes.
func NewPlainQueue[P any]() *Queue[P] { return &Queue[P]{plain: true} }

// Add puts a packet to the others. From one without times, or out of order, on, all are to be decoded.
func (q *Queue[P]) Add(p Packet, payload P) {
	q.plain = q.plain || !p.Timed || p.Decoded > p.Shown && !p.Hidden || len(q.shown) > 0 && p.Decoded < q.latest
	q.latest = p.Decoded
	if !q.plain && !p.Hidden && p.Shown >= q.from {
		at, twice := slices.BinarySearch(q.shown, p.Shown)
		q.shown, q.plain = slices.Insert(q.shown, at, p.Shown), twice
	}
	q.waiting = append(q.waiting, entry[P]{p, payload})
}

// End says that no packet is left to be added.
func (q *Queue[P]) End() { q.ended = true }

// Doubt says that packets may be missing: all from there on are to be decoded.
func (q *Queue[P]) Doubt() { q.plain = true }

// Len returns how many packets wait.
func (q *Queue[P]) Len() int { return len(q.waiting) }

// Take takes the first packet out.
func (q *Queue[P]) Take() P {
	p := q.waiting[0].payload
	q.waiting = q.waiting[1:]
	return p
}

// Next says what to do next for the frames numbered first to last. Stop comes where last is no less than
// first, and after the packets of them all; the packets that were added since then are left in the queue.
// Read comes where too little is known, and never once all packets are added.
func (q *Queue[P]) Next(first, last int) Step {
	none := len(q.waiting) == 0
	switch {
	case none && q.ended:
		return Stop
	case q.plain && none:
		return Read
	case q.plain, q.base > first: // the frames before first tell that it came too late
		return q.send()
	}
	more := !q.ended && len(q.waiting) < mostAhead
	wanted := !q.ended && q.base+len(q.shown) <= last || slices.ContainsFunc(q.waiting, func(e entry[P]) bool {
		n := q.number(e)
		return n >= first && n <= last
	})
	switch {
	case !wanted && q.settled(last):
		return Stop
	case more && (none || !wanted || !q.sure(q.waiting[0])):
		return Read
	}
	if head := q.waiting[0]; head.Spare && q.sure(head) {
		if n := q.number(head); n < first || n > last {
			return Pass
		}
	}
	return Send
}

func (q *Queue[P]) send() Step {
	if len(q.waiting) == 0 {
		return Read
	}
	return Send
}

// number returns a frame's number as far as is known: later packets may have frames shown before it.
// A frame that does not count has one below all others.
func (q *Queue[P]) number(e entry[P]) int {
	if e.Hidden || e.Shown < q.from {
		return q.base - 1
	}
	at, _ := slices.BinarySearch(q.shown, e.Shown)
	return q.base + at
}

// sure tells whether a frame's number will not change.
func (q *Queue[P]) sure(e entry[P]) bool { return q.ended || q.latest >= e.Shown || e.Hidden }

// settled tells whether the packets of all frames up to one were added.
func (q *Queue[P]) settled(last int) bool {
	at := last - q.base
	return q.ended || at < 0 || at < len(q.shown) && q.shown[at] <= q.latest
}
