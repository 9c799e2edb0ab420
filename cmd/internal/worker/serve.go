package worker

import (
	"io"
	"os"
	"os/signal"
	"runtime"
	"runtime/debug"
	"sync"
	"syscall"
	"time"
)

// A Tell is told by a job how far it is, each time it gets on: what it is doing, and the share that
// is done, 0..1. A job that tells nothing for too long is given up.
type Tell func(stage string, share float64)

// A Handler does one job and returns its answer.
type Handler func(body []byte, tell Tell) []byte

// Serve is the worker's side: it does jobs from stdin, one after the other, until stdin ends, which
// it also does when the process that started it dies. It returns the exit code. Signals that a
// terminal or a scheduler sends to all processes are left to that process.
func Serve(stdin io.Reader, stdout io.Writer, handle Handler) int {
	signal.Ignore(os.Interrupt, syscall.SIGTERM)
	jobs := make(chan []byte)
	go func() {
		for {
			k, body, err := receive(stdin)
			if err != nil || k != job {
				os.Exit(0) // nobody waits for what is being done
			}
			jobs <- body
		}
	}()
	out := &teller{to: stdout}
	if out.send(ready, nil) != nil {
		return 1
	}
	for body := range jobs {
		if out.send(done, handle(body, out.tell)) != nil {
			return 1
		}
		giveBack()
	}
	return 0
}

// largeHeap is how much memory a worker may keep between jobs.
const largeHeap = 128 << 20

// giveBack returns what a large job took to the system.
func giveBack() {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	if m.HeapSys-m.HeapReleased > largeHeap {
		debug.FreeOSMemory()
	}
}

// A teller writes frames, one at a time.
type teller struct {
	mu    sync.Mutex
	to    io.Writer
	last  time.Time
	stage string
}

// mostOften is how often progress within a stage is told at most.
const mostOften = 20 * time.Millisecond

func (t *teller) send(k kind, body []byte) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	return send(t.to, k, body)
}

func (t *teller) tell(stage string, share float64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if now := time.Now(); stage != t.stage || now.Sub(t.last) >= mostOften {
		t.stage, t.last = stage, now
		_ = send(t.to, told, progressOf(stage, share)) // a pipe that broke shows when the answer is sent
	}
}
