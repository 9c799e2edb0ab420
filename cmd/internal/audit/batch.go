package audit

import (
	"context"
	"errors"
	"sync"
	"time"

	"stopledger/analyze"
	"stopledger/analyze/still"
	"stopledger/cmd/internal/card"
	"stopledger/report"
)

// A Measurer measures one clip, as Measure does.
type Measurer func(ctx context.Context, j Job) (report.Clip, error)

// A Batch measures clips, some at a time, and hands the results on in the order of the entries.
type Batch struct {
	Entries   []card.Entry     // what to measure, in the order in which results are handed on
	Settings  analyze.Settings // how
	Jobs      int              // clips measured at a time
	Folder    string           // of the report, which pictures are written into; "" for none
	SamePlace bool             // all clips show the same area enlarged
	Forget    bool             // the results hold no clips, which are in a ledger
	Timeout   time.Duration    // after which files that are looked at and do not answer are given up; 0 for never
	Measure   Measurer         // Measure but for tests

	Growing func(*card.Entry) bool // tells a clip that grows; nil but for tests

	// Done takes a measured clip as soon as all entries before it are through. It is called by
	// one goroutine at a time; nil for no use.
	Done func(report.Clip)
	// View takes a small picture of entry i, nil where it cannot be read again. It is called by many
	// goroutines; nil for no use.
	View func(i int, view *still.Still)
	// Progress takes how much of entry i is through, 0..1; nil for no use.
	Progress func(i int, share float64)
}

// Results are the outcomes of a batch in the order of its entries.
type Results struct {
	Clips    []report.Clip    // measured
	Failed   []report.Failure // not measurable, with the reason
	Pictures error            // first trouble with writing pictures

	NotReached []string // names of entries that an interruption left unmeasured
	Places     []Place  // what became of each entry
}

// A Place is what became of an entry: it is measured, failed, or was not reached.
type Place struct {
	Measured bool
	Error    string // why it could not be measured
}

// Run measures until the entries are through or ctx is cancelled.
func (b Batch) Run(ctx context.Context) Results {
	r := &running{Batch: b, outcomes: newOutcomes(len(b.Entries))}
	next := make(chan int)
	var workers sync.WaitGroup
	for range min(b.Jobs, len(b.Entries)) {
		workers.Go(func() {
			for i := range next {
				r.finish(i, r.one(ctx, i))
			}
		})
	}
	for _, i := range r.order(ctx) {
		next <- i // once interrupted, one returns at once
	}
	close(next)
	workers.Wait()
	return r.results()
}

// order is that in which clips are measured: those that are still being recorded or copied come
// last, unless clips wait for those before them.
//
// Once one does not answer, it comes last too, and no others are asked: it is asked again at its turn.
func (b Batch) order(ctx context.Context) []int {
	var order, last []int
	asked := !b.SamePlace && !b.Settings.HoldGrey
	for i := range b.Entries {
		grows := false
		if e := &b.Entries[i]; e.Err == nil && asked {
			var err error
			grows, err = b.growing(ctx, e)
			asked, grows = err == nil, grows || err != nil
		}
		if grows {
			last = append(last, i)
		} else {
			order = append(order, i)
		}
	}
	return append(order, last...)
}

// running is a batch under way.
type running struct {
	Batch
	outcomes outcomes

	mu       sync.Mutex
	handedOn int // entries before this one are handed on
}

// one measures one entry. A panic while measuring becomes that clip's error.
func (r *running) one(ctx context.Context, i int) (o outcome) {
	e := &r.Entries[i]
	if e.Err != nil {
		return outcome{err: e.Err}
	}
	if ctx.Err() != nil {
		return outcome{}
	}
	defer func() {
		if p := recover(); p != nil {
			o = outcome{err: broken(e.Path, p)}
		}
	}()
	clip, err := r.atRest(ctx, i)
	var pictures *PictureError
	switch {
	case errors.As(err, &pictures):
		return outcome{measured: true, clip: &clip, pictures: err}
	case err != nil && ctx.Err() != nil && errors.Is(err, ctx.Err()):
		return outcome{}
	case err != nil:
		return outcome{err: err}
	}
	return outcome{measured: true, clip: &clip}
}

// atRest measures an entry that nobody writes to. One that is growing is looked at again for a
// while; one that changed meanwhile was not measured, as its parts may be of two recordings.
func (r *running) atRest(ctx context.Context, i int) (report.Clip, error) {
	e := &r.Entries[i]
	grows, err := r.growing(ctx, e)
	if err == nil && grows {
		err = r.settle(ctx, e)
	}
	if err != nil {
		return report.Clip{}, err
	}
	clip, err := r.Measure(ctx, r.job(i))
	if ctx.Err() != nil {
		return clip, err
	}
	switch changed, hangs := r.changed(ctx, e); {
	case hangs != nil && ctx.Err() != nil:
		return clip, err // interrupted: what is measured stays
	case hangs != nil && err == nil:
		return report.Clip{}, hangs
	case changed:
		return report.Clip{}, e.Disturbed()
	}
	return clip, err
}

func (r *running) job(i int) Job {
	e := &r.Entries[i]
	j := Job{Path: e.Path, Files: e.Files(), Parts: e.Parts, Settings: r.Settings, Folder: r.Folder}
	j.Progress = func(share float64) {
		if r.Progress != nil {
			r.Progress(i, share)
		}
	}
	if r.View != nil {
		j.View = func(view *still.Still) { r.View(i, view) }
	}
	if r.SamePlace && i > 0 {
		j.Strip = r.outcomes.firstStrip
	}
	if r.Settings.HoldGrey {
		j.Held = func(ctx context.Context) *report.Clip { return r.outcomes.heldGrey(ctx, i) }
	}
	return j
}

// finish records an outcome and hands on what is ready.
func (r *running) finish(i int, o outcome) {
	r.outcomes.set(i, o)
	if r.Progress != nil {
		r.Progress(i, 1)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for r.handedOn < len(r.Entries) && r.outcomes.known(r.handedOn) {
		if clip := r.outcomes.of[r.handedOn].clip; clip != nil && r.Done != nil {
			r.Done(*clip)
		}
		if r.Forget {
			r.outcomes.forget(r.handedOn)
		}
		r.handedOn++
	}
}

func (r *running) results() Results {
	res := Results{Clips: []report.Clip{}, Failed: []report.Failure{}}
	for i, o := range r.outcomes.of {
		if res.Pictures == nil {
			res.Pictures = o.pictures
		}
		place := Place{Measured: o.measured}
		switch {
		case o.measured && !r.Forget:
			res.Clips = append(res.Clips, *o.clip)
		case o.measured:
		case o.err != nil:
			place.Error = failureText(o.err)
			res.Failed = append(res.Failed, report.Failure{Path: report.PlainPath(r.Entries[i].Name), Error: place.Error})
		default:
			res.NotReached = append(res.NotReached, report.PlainPath(r.Entries[i].Name))
		}
		res.Places = append(res.Places, place)
	}
	return res
}
