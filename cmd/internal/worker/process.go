package worker

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"
)

// A process is a worker, from the side of the one who started it.
type process struct {
	cmd    *exec.Cmd
	stdin  io.WriteCloser
	frames chan frame // closed when no more come
	stderr tail
	ended  chan struct{} // closed when the process has ended and its state is known
}

type frame struct {
	kind kind
	body []byte
}

// startTimeout is how long a process may take to start, on however busy a machine.
const startTimeout = time.Minute

// start starts a process and waits for it to be ready.
func start(ctx context.Context, conf Config) (*process, error) {
	cmd := conf.Command()
	p := &process{cmd: cmd, frames: make(chan frame, 1), ended: make(chan struct{})}
	stdin, err := cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	stderr, err := cmd.StderrPipe()
	if err != nil {
		return nil, err
	}
	p.stdin = stdin
	if err := conf.Confined.start(cmd); err != nil {
		return nil, fmt.Errorf("a worker process cannot be started: %w", err)
	}
	go p.live(stdout, stderr)
	c := &clock{timeout: startTimeout, since: time.Now()}
	if _, err := p.await(ctx, ready, c, "starting", nil); err != nil {
		p.kill()
		if ctx.Err() == nil {
			err = fmt.Errorf("a worker process cannot be started: %w", err)
		}
		return nil, err
	}
	return p, nil
}

// live reads what the process says until it ends.
func (p *process) live(stdout, stderr io.Reader) {
	var reading sync.WaitGroup
	reading.Go(func() { _, _ = io.Copy(&p.stderr, stderr) })
	for {
		k, body, err := receive(stdout)
		if err != nil {
			break
		}
		p.frames <- frame{k, body}
	}
	close(p.frames)
	_ = p.cmd.Process.Kill() // one that no longer speaks the protocol
	reading.Wait()
	_ = p.cmd.Wait()
	close(p.ended)
}

// gone tells whether the process is known to have ended.
func (p *process) gone() bool {
	select {
	case <-p.ended:
		return true
	default:
		return false
	}
}

// kill ends the process at once. One that hangs in the kernel is left to it.
func (p *process) kill() {
	_ = p.cmd.Process.Kill()
	_ = p.stdin.Close()
	go func() {
		for range p.frames { // its last words
		}
	}()
}

// do gives the process a job and waits for the answer. After an error it is dead or of no more use.
func (p *process) do(ctx context.Context, body []byte, c *clock, stage string, tell Tell) ([]byte, error) {
	go func() { _ = send(p.stdin, job, body) }() // one that does not read stalls, or dies
	c.start()
	return p.await(ctx, done, c, stage, tell)
}

// await waits for a frame of a kind, and hands on progress meanwhile.
func (p *process) await(ctx context.Context, wanted kind, c *clock, stage string, tell Tell) ([]byte, error) {
	timer := time.NewTimer(c.left())
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-timer.C:
			return nil, &Stall{Stage: stage, Waited: c.total()}
		case f, alive := <-p.frames:
			switch {
			case !alive:
				return nil, p.death(ctx, stage)
			case f.kind == wanted:
				c.progress()
				return f.body, nil
			case f.kind == told:
				var share float64
				if stage, share = readProgress(f.body); tell != nil {
					tell(stage, share)
				}
			}
			c.progress()
			timer.Reset(c.left())
		}
	}
}

// death says how the process died.
func (p *process) death(ctx context.Context, stage string) error {
	const untilReaped = 2 * time.Second
	select {
	case <-p.ended:
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(untilReaped):
		return &Crash{Stage: stage, How: "it does not end"}
	}
	said := p.stderr.reason()
	if wantsMemory(said) {
		return &OutOfMemory{Stage: stage}
	}
	how := p.cmd.ProcessState.String()
	if s, ok := p.cmd.ProcessState.Sys().(syscall.WaitStatus); ok && s.Signaled() {
		how = s.Signal().String()
	}
	return &Crash{Stage: stage, How: how, Said: said}
}

// wantsMemory tells what Go's runtime says when the system gives it no more memory, or no thread for
// want of memory for its stack.
func wantsMemory(reason string) bool {
	for _, part := range []string{"cannot allocate memory", "out of memory", "pthread_create failed",
		"failed to create new OS thread"} {
		if strings.Contains(reason, part) {
			return true
		}
	}
	return false
}

// A tail keeps the end of what is written to it.
type tail struct {
	mu   sync.Mutex
	kept []byte
}

// The beginning of a crash report says what happened, the end where.
const mostKept = 64 << 10

func (t *tail) Write(b []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.kept = append(t.kept, b...)
	if over := len(t.kept) - mostKept; over > 0 {
		t.kept = append(t.kept[:0], t.kept[over:]...)
	}
	return len(b), nil
}

// reasons begin the line with which Go's runtime says why it ends a process; "SIGSEGV" and the like do
// too.
var reasons = []string{"fatal error", "panic", "runtime/cgo", "runtime"}

// reason returns the line that says why a process died: the runtime's, or the last one.
func (t *tail) reason() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	lines := bytes.Split(bytes.TrimSpace(t.kept), []byte("\n"))
	for _, line := range lines {
		begin, rest, ok := strings.Cut(string(line), ": ")
		if ok && (strings.HasPrefix(begin, "SIG") || slices.Contains(reasons, begin)) {
			return strings.TrimSpace(rest)
		}
	}
	return strings.TrimSpace(string(lines[len(lines)-1]))
}
