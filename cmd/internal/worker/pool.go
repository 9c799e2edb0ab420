// Package worker runs jobs in processes of the program's own, which are used again and again. A job
// that crashes its process, needs more memory than it may, or does not get on, costs that job and
// nothing else; the error says which. Jobs and answers are bytes; what they mean is not known here.
package worker

import (
	"context"
	"sync"
	"time"

	"golang.org/x/sync/semaphore"
)

// A Pool is a number of worker processes, started when they are first needed.
type Pool struct {
	conf   Config
	slots  chan struct{}
	memory *semaphore.Weighted

	mu     sync.Mutex
	idle   []*process
	closed bool
}

// NewPool returns a pool. Close ends its processes.
func NewPool(c Config) *Pool {
	return &Pool{conf: c, slots: make(chan struct{}, c.Most), memory: semaphore.NewWeighted(c.Memory)}
}

// Close ends the processes. Leases under way come to nothing.
func (p *Pool) Close() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.closed = true
	for _, w := range p.idle {
		w.kill()
	}
	late := time.After(reaping)
	for _, w := range p.idle {
		select {
		case <-w.ended:
		case <-late: // it hangs in the kernel
		}
	}
	p.idle = nil
}

// reaping is how long killed workers are waited for, so that their processor time counts as the run's.
const reaping = time.Second

// A Lease is a worker process for one purpose, which may take several jobs. Should the process die,
// the next job gets another.
type Lease struct {
	pool    *Pool
	process *process // nil until the first job, and after a death
	clock   clock
}

// Lease waits for a process to be free; the error is that of a context that ended.
func (p *Pool) Lease(ctx context.Context) (*Lease, error) {
	select {
	case p.slots <- struct{}{}:
		return &Lease{pool: p, clock: clock{timeout: p.conf.Timeout}}, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// Release hands the process on.
func (l *Lease) Release() {
	p := l.pool
	p.mu.Lock()
	if l.process != nil && p.closed {
		l.process.kill()
	} else if l.process != nil {
		p.idle = append(p.idle, l.process)
	}
	p.mu.Unlock()
	l.process = nil
	<-p.slots
}

// A Job is what a worker is to do.
type Job struct {
	Body  []byte // for the handler
	Stage string // what is being done until the worker tells
	Need  int64  // bytes of memory that it is expected to take: it waits until they are free
	Limit int64  // bytes of memory that it gets at most; 0 for no limit
}

// Do has a job done and returns the answer. Where the process dies or has to be ended, the error is a
// *Crash, *OutOfMemory or *Stall; else it is that of a context that ended, or of a process that could
// not be started.
func (l *Lease) Do(ctx context.Context, j Job, tell Tell) ([]byte, error) {
	need := min(j.Need, l.pool.conf.Memory) // what needs more than there is runs alone
	if err := l.pool.memory.Acquire(ctx, need); err != nil {
		return nil, err
	}
	defer l.pool.memory.Release(need)
	if err := l.begin(ctx); err != nil {
		return nil, err
	}
	setLimit(l.process.cmd.Process.Pid, j.Limit)
	answer, err := l.process.do(ctx, j.Body, &l.clock, j.Stage, tell)
	if err != nil {
		l.process.kill()
		l.process = nil
	}
	if short, ok := err.(*OutOfMemory); ok {
		short.Limit = j.Limit
	}
	return answer, err
}

// begin sees to it that there is a process.
func (l *Lease) begin(ctx context.Context) error {
	if l.process != nil && !l.process.gone() {
		return nil
	}
	if l.process = l.pool.take(); l.process != nil {
		return nil
	}
	var err error
	l.process, err = start(ctx, l.pool.conf)
	return err
}

// take returns an idle process that lives, nil where there is none.
func (p *Pool) take() *process {
	p.mu.Lock()
	defer p.mu.Unlock()
	for n := len(p.idle); n > 0; n = len(p.idle) {
		w := p.idle[n-1]
		p.idle = p.idle[:n-1]
		if !w.gone() {
			return w
		}
	}
	return nil
}
