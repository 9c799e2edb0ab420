package terminal

import (
	"fmt"
	"io"
	"sync"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
)

// A bar shows how much of a batch is through.
type bar struct {
	pool *mpb.Progress
	bar  *mpb.Bar
	out  io.Writer

	mu     sync.Mutex
	shares []float64 // of each clip, 0..1
}

const barSteps = 1000 // of one clip

func newBar(out io.Writer, clips int) *bar {
	b := &bar{out: out, shares: make([]float64, clips)}
	b.pool = mpb.New(mpb.WithOutput(out))
	b.bar = b.pool.New(int64(clips)*barSteps+1, // the last step is never made: removing ends the bar
		mpb.BarStyle().Lbound("").Rbound("").Filler("=").Tip(">").Padding(" "),
		mpb.PrependDecorators(decor.Any(func(decor.Statistics) string { return b.count() })),
		mpb.AppendDecorators(decor.NewPercentage("% d")))
	return b
}

func (b *bar) count() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	through := 0
	for _, s := range b.shares {
		if s >= 1 {
			through++
		}
	}
	return fmt.Sprintf("%d of %d clips ", through, len(b.shares))
}

func (b *bar) set(i int, share float64) {
	b.mu.Lock()
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
