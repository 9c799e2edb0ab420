package terminal

import (
	"fmt"
	"io"
	"math"
	"strings"
	"sync"
	"time"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
)

// A bar is a line that tells how much of a batch is through: "12 of 300, C012.mov, 11 min left".
type bar struct {
	pool *mpb.Progress
	bar  *mpb.Bar
	out  io.Writer

	mu     sync.Mutex
	began  time.Time
	shares []float64 // of each clip, 0..1
	names  []string  // of the clips, as they are printed; nil where not known
	last   int       // clip that got on last
}

const barSteps = 1000 // of one clip

func newBar(out io.Writer, clips int) *bar {
	b := &bar{out: out, shares: make([]float64, clips), began: time.Now()}
	b.pool = mpb.New(mpb.WithOutput(out))
	b.bar = b.pool.New(int64(clips)*barSteps+1, // the last step is never made: removing ends the line
		mpb.NopStyle(), mpb.PrependDecorators(decor.Any(func(decor.Statistics) string { return b.line(time.Now()) })))
	return b
}

func (b *bar) call(names []string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.names = names
}

// line is what the bar says.
func (b *bar) line(now time.Time) string {
	b.mu.Lock()
	defer b.mu.Unlock()
	through, sum := 0, 0.0
	for _, s := range b.shares {
		if sum += s; s >= 1 {
			through++
		}
	}
	parts := []string{fmt.Sprintf("%d of %d", through, len(b.shares))}
	if b.last < len(b.names) && through < len(b.shares) {
		parts = append(parts, b.names[b.last])
	}
	if left := timeLeft(now.Sub(b.began), sum, float64(len(b.shares))); left != "" {
		parts = append(parts, left)
	}
	return strings.Join(parts, ", ")
}

// timeLeft is how long the rest takes at the pace so far, "" before that can be told.
func timeLeft(gone time.Duration, done, all float64) string {
	const soon = 5 * time.Second
	if gone < soon || done < 0.02*all || done >= all {
		return ""
	}
	left := time.Duration(float64(gone) * (all - done) / done)
	switch {
	case left < time.Minute:
		return "less than a minute left"
	case left < 2*time.Hour:
		return fmt.Sprintf("%.0f min left", math.Ceil(left.Minutes()))
	}
	return fmt.Sprintf("%.1f h left", left.Hours())
}

func (b *bar) set(i int, share float64) {
	b.mu.Lock()
	b.last = i
	b.shares[i] = max(b.shares[i], min(max(share, 0), 1))
	sum := 0.0
	for _, s := range b.shares {
		sum += s
	}
	b.mu.Unlock()
	b.bar.SetCurrent(int64(sum * barSteps))
}

// above prints over the bar; when there is none any more, where it was.
func (b *bar) above(text []byte) (int, error) {
	if n, err := b.pool.Write(text); err == nil {
		return n, nil
	}
	return b.out.Write(text)
}

func (b *bar) remove() {
	b.bar.Abort(true)
	b.pool.Wait()
}
