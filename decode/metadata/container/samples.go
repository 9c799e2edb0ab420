package container

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// A sampleTable finds the samples of a track in the file (ISO/IEC 14496-12, 8.6 and 8.7): sizes
// are looked up in place, runs of chunks are held.
type sampleTable struct {
	count   int   // samples
	uniform int64 // size of every sample, 0 where each has its own
	sizes   box   // of the table of sizes, u32 each
	runs    []byte
	chunks  box   // of the table of chunk offsets
	wide    int64 // bytes of one chunk offset, 4 or 8
}

const (
	runBytes        = 12 // first chunk, samples per chunk, description
	maxSample       = 1 << 20
	maxChunkSamples = 1 << 16
)

// sampleTable reads what is needed of a stbl box.
func (s *source) sampleTable(stbl box) (*sampleTable, error) {
	list := s.children(stbl)
	t := &sampleTable{wide: 4}
	stsz, ok := first(list, "stsz")
	if !ok {
		return nil, errors.New("no table of sample sizes")
	}
	head, err := s.readUpTo(stsz.start, 12, stsz.end)
	if err != nil || len(head) < 12 {
		return nil, errors.New("the table of sample sizes is cut off")
	}
	t.uniform = int64(binary.BigEndian.Uint32(head[4:]))
	t.sizes = box{"stsz", stsz.start + 12, stsz.end}
	t.count = int(binary.BigEndian.Uint32(head[8:]))
	if held := int(t.sizes.size() / 4); t.uniform == 0 && t.count > held {
		t.count = held
	}
	if t.chunks, ok = first(list, "stco"); !ok {
		if t.chunks, ok = first(list, "co64"); !ok {
			return nil, errors.New("no table of chunk offsets")
		}
		t.wide = 8
	}
	t.chunks.start += 8
	stsc, ok := first(list, "stsc")
	if !ok || stsc.size() < 8+runBytes {
		return nil, errors.New("no table of samples in chunks")
	}
	t.runs, err = s.read(stsc.start+8, (stsc.size()-8)/runBytes*runBytes)
	return t, err
}

// place finds the chunk of sample i, counted from 0, and how many samples of it come before.
func (t *sampleTable) place(i int) (chunk, before int64, err error) {
	left, chunks := int64(i), t.chunks.size()/t.wide
	for r := t.runs; len(r) >= runBytes; r = r[runBytes:] {
		from, each := int64(binary.BigEndian.Uint32(r)), int64(binary.BigEndian.Uint32(r[4:]))
		to := chunks + 1
		if len(r) >= 2*runBytes {
			to = int64(binary.BigEndian.Uint32(r[runBytes:]))
		}
		if from < 1 || to < from || each == 0 {
			return 0, 0, errors.New("the table of samples in chunks is damaged")
		}
		if n := (to - from) * each; left >= n {
			left -= n
			continue
		}
		return from - 1 + left/each, left % each, nil
	}
	return 0, 0, errors.New("it lies beyond the last chunk")
}

// sample reads sample i, counted from 0.
func (s *source) sample(t *sampleTable, i int) ([]byte, error) {
	chunk, before, err := t.place(i)
	if err != nil {
		return nil, err
	}
	at := t.chunks.start + chunk*t.wide
	p, err := s.readUpTo(at, t.wide, t.chunks.end)
	if err != nil || int64(len(p)) < t.wide {
		return nil, errors.New("its chunk has no offset")
	}
	offset := int64(binary.BigEndian.Uint32(p))
	if t.wide == 8 {
		offset = int64(binary.BigEndian.Uint64(p))
	}
	skip, size, err := s.sizes(t, int64(i)-before, before)
	if err != nil {
		return nil, err
	}
	if size > maxSample {
		return nil, fmt.Errorf("%d bytes are too many for the settings of a frame", size)
	}
	if offset < 0 || offset > s.size {
		return nil, errOutside
	}
	return s.read(offset+skip, size)
}

// sizes adds up the sizes of the before samples from first on, and gives that of the next.
func (s *source) sizes(t *sampleTable, first, before int64) (sum, next int64, err error) {
	if t.uniform > 0 {
		return before * t.uniform, t.uniform, nil
	}
	if before >= maxChunkSamples {
		return 0, 0, errors.New("its chunk holds too many samples")
	}
	p, err := s.readUpTo(t.sizes.start+4*first, 4*(before+1), t.sizes.end)
	if err != nil || int64(len(p)) < 4*(before+1) {
		return 0, 0, errors.New("its size is not in the table")
	}
	for ; before > 0; before-- {
		sum += int64(binary.BigEndian.Uint32(p))
		p = p[4:]
	}
	return sum, int64(binary.BigEndian.Uint32(p)), nil
}

// framesLookedAt shows a setting that was changed for a sixty-fourth of the clip or more. It is odd,
// so that the middle is among them.
const framesLookedAt = 65

// spread picks up to n of count things, evenly, always with the first, the middle and the last.
func spread(count, n int) []int {
	if count <= n {
		n = count
	}
	var picked []int
	for i := range n {
		at := 0
		if n > 1 {
			at = int(int64(i) * int64(count-1) / int64(n-1))
		}
		picked = append(picked, at)
	}
	return picked
}
