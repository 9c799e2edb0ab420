package gop

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// A picture is a packet of a made-up stream, with its number in display order and what it refers to.
type picture struct {
	Packet
	number int
	refers []int // numbers
}

// stream makes groups of pictures in decoding order: key frames, anchors that refer to the anchor before,
// and between anchors frames that refer to both, a middle one of them to be referred to in turn. Times are
// irregular. Frames shown before a key frame may refer to the group before it.
func stream(rng *rand.Rand) (all []picture) {
	between, anchors := rng.IntN(4), 1+rng.IntN(5)
	before := -1
	for anchor := rng.IntN(between + 1); len(all) < 40; anchor += between + 1 {
		key := (len(all)/(between+1))%anchors == 0
		p := picture{number: anchor}
		if !key {
			p.refers = []int{before}
		}
		all = append(all, p)
		inner := []int{}
		for n := before + 1; n < anchor; n++ {
			inner = append(inner, n)
		}
		refers := []int{before, anchor}
		if len(inner) == 3 { // a pyramid
			all = append(all, picture{number: inner[1], refers: refers})
			refers = append(slices.Clone(refers), inner[1])
			inner = []int{inner[0], inner[2]}
		}
		for _, n := range inner {
			all = append(all, picture{Packet: Packet{Spare: true}, number: n, refers: refers})
		}
		before = anchor
	}
	times := make([]int64, len(all))
	for i := range times {
		times[i] = int64(10*i) + rng.Int64N(9)
	}
	const delay = 3
	for i := range all {
		all[i].Shown, all[i].Decoded, all[i].Timed = times[all[i].number], 10*int64(i-delay)-10, true
	}
	return all
}

// TestOnlyWhatIsNeeded: of streams of many kinds exactly the frames asked for, and what they refer to, are
// decoded; frames that others might refer to are decoded up to the last one that is wanted.
func TestOnlyWhatIsNeeded(t *testing.T) {
	const seed = 11
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 3000 {
		all := stream(rng)
		first := rng.IntN(len(all) - 8)
		last := first + rng.IntN(6)
		q := NewQueue[picture](0, math.MinInt64)
		read, sent := 0, []picture{}
		for step := q.Next(first, last); step != Stop; step = q.Next(first, last) {
			switch {
			case step == Read && read < len(all):
				q.Add(all[read].Packet, all[read])
				read++
			case step == Read:
				q.End()
			case step == Send:
				sent = append(sent, q.Take())
			default:
				q.Take()
			}
		}
		want := slices.Clone(all)
		end := 0
		for i, p := range all {
			if p.number >= first && p.number <= last {
				end = i + 1
			}
		}
		want = slices.DeleteFunc(want[:end], func(p picture) bool {
			return p.Spare && (p.number < first || p.number > last)
		})
		same := func(a, b picture) bool { return a.number == b.number }
		if !slices.EqualFunc(sent, want, same) {
			t.Fatalf("seed %d, frames %d to %d: %v decoded, want %v", seed, first, last, sent, want)
		}
		decoded := map[int]bool{}
		for _, p := range sent {
			for _, n := range p.refers {
				if n >= 0 && !decoded[n] {
					t.Fatalf("seed %d: frame %d refers to %d, which is not decoded", seed, p.number, n)
				}
			}
			decoded[p.number] = true
		}
	}
}

// TestFramesBeforeTheKey: what is shown before a key packet, whose own number is known, does not count.
func TestFramesBeforeTheKey(t *testing.T) {
	q := NewQueue[int](40, 420)
	for i, p := range []Packet{{Shown: 420, Decoded: 380}, {Shown: 400, Decoded: 390, Spare: true},
		{Shown: 410, Decoded: 400, Spare: true}, {Shown: 450, Decoded: 410}, {Shown: 430, Decoded: 425, Spare: true},
		{Shown: 440, Decoded: 440, Spare: true}, {Shown: 480, Decoded: 450}} {
		p.Timed = true
		q.Add(p, i)
	}
	var sent []int
	for step := q.Next(42, 42); step != Stop; step = q.Next(42, 42) {
		if n := q.Take(); step == Send {
			sent = append(sent, n)
		}
	}
	if want := []int{0, 3, 5}; !slices.Equal(sent, want) {
		t.Errorf("packets %v are decoded, want %v", sent, want)
	}
}

// TestAllIsDecodedInDoubt: packets without times, out of order, or two of one time, and frames that begin
// after those that are wanted, are all decoded.
func TestAllIsDecodedInDoubt(t *testing.T) {
	for name, odd := range map[string]Packet{
		"no times": {}, "out of order": {Shown: 50, Decoded: -50, Timed: true},
		"late": {Shown: 50, Decoded: 70, Timed: true}, "twice": {Shown: 20, Decoded: 20, Timed: true},
	} {
		q := NewQueue[int](0, math.MinInt64)
		q.Add(Packet{Timed: true}, 0)
		q.Add(Packet{Shown: 20, Decoded: 10, Timed: true}, 1)
		q.Add(odd, 2)
		q.Add(Packet{Shown: 90, Decoded: 80, Timed: true, Spare: true}, 3)
		sent := 0
		for q.Next(0, 0) == Send {
			q.Take()
			sent++
		}
		if sent != 4 {
			t.Errorf("%s: %d packets are decoded, want all", name, sent)
		}
	}
	q := NewQueue[int](9, math.MinInt64)
	q.Add(Packet{Timed: true, Spare: true}, 0)
	if got := q.Next(4, 6); got != Send {
		t.Errorf("step %d for a frame beyond those wanted, want %d", got, Send)
	}
}

// TestMuchIsHeldBack: of a stream that never says what is shown next, no more than so many packets are held.
func TestMuchIsHeldBack(t *testing.T) {
	q := NewQueue[int](0, math.MinInt64)
	for i := range 1000 {
		for q.Next(500, 600) != Read {
			q.Take()
		}
		q.Add(Packet{Shown: int64(5000 + i), Decoded: int64(i), Timed: true}, i)
		if q.Len() > mostAhead {
			t.Fatalf("%d packets are held", q.Len())
		}
	}
}
