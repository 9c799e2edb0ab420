package worker

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"
)

// The test binary is its own worker, as the program is.
func TestMain(m *testing.M) {
	if len(os.Args) == 2 && os.Args[1] == "_worker" {
		os.Exit(Serve(os.Stdin, os.Stdout, obey))
	}
	os.Exit(m.Run())
}

var kept [][]byte

// obey does what a job says in words.
func obey(body []byte, tell Tell) []byte {
	verb, rest, _ := strings.Cut(string(body), " ")
	switch verb {
	case "pid":
		return strconv.AppendInt(nil, int64(os.Getpid()), 10)
	case "panic":
		go func() { panic("a decoder's thread broke") }()
		select {}
	case "fault":
		_ = syscall.Kill(os.Getpid(), syscall.SIGSEGV)
		select {}
	case "exit":
		os.Exit(7)
	case "hang":
		tell("hanging", 0.5)
		time.Sleep(time.Hour)
	case "freeze":
		_ = syscall.Kill(os.Getpid(), syscall.SIGSTOP)
		select {}
	case "eat":
		n, _ := strconv.Atoi(rest)
		for range n {
			piece := make([]byte, 1<<20)
			for i := 0; i < len(piece); i += os.Getpagesize() {
				piece[i] = 1
			}
			kept = append(kept, piece)
		}
		kept = nil
	case "steps": // COUNT PAUSE
		var count int
		var pause string
		_, _ = fmt.Sscan(rest, &count, &pause)
		d, _ := time.ParseDuration(pause)
		for i := range count {
			time.Sleep(d)
			tell("stepping", float64(i+1)/float64(count))
		}
	case "read":
		_, err := os.ReadFile(rest)
		return fmt.Append(nil, err)
	case "write":
		return fmt.Append(nil, os.WriteFile(rest, []byte("x"), 0o600))
	case "connect":
		c, err := net.Dial("tcp", rest)
		if err == nil {
			c.Close()
		}
		return fmt.Append(nil, err)
	case "garbage":
		_, _ = os.Stdout.Write([]byte("not a frame"))
		select {}
	}
	return []byte("did " + string(body))
}

func pool(t *testing.T, most int, timeout time.Duration) *Pool {
	t.Helper()
	p := NewPool(Config{Command: Ourselves("_worker"), Most: most, Memory: 1 << 30, Timeout: timeout})
	t.Cleanup(p.Close)
	return p
}

func lease(t *testing.T, p *Pool) *Lease {
	t.Helper()
	l, err := p.Lease(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// ask has one job done under a lease of its own.
func ask(t *testing.T, p *Pool, body string) (string, error) {
	t.Helper()
	l := lease(t, p)
	defer l.Release()
	answer, err := l.Do(t.Context(), Job{Body: []byte(body), Stage: "beginning"}, nil)
	return string(answer), err
}

const patient = 20 * time.Second // of tests in which nothing stalls, on a busy machine

// A process is used again, and another takes its place when it has died.
func TestProcessesAreUsedAgain(t *testing.T) {
	p := pool(t, 1, patient)
	first, err := ask(t, p, "pid")
	if err != nil {
		t.Fatal(err)
	}
	again, err := ask(t, p, "pid")
	if err != nil || again != first {
		t.Errorf("%s, then %s, %v", first, again, err)
	}
	if _, err := ask(t, p, "exit"); err == nil {
		t.Error("it did not exit")
	}
	if other, err := ask(t, p, "pid"); err != nil || other == first {
		t.Errorf("after its death: %s, %v", other, err)
	}
}

// Each kind of death is told as what it is, and the process after it is sound.
func TestDeaths(t *testing.T) {
	p := pool(t, 1, patient)
	for body, want := range map[string]string{
		"panic":   "the process crashed while beginning (a decoder's thread broke)",
		"fault":   "the process crashed while beginning (segmentation violation)",
		"exit":    "the process crashed while beginning (exit status 7)",
		"garbage": "the process crashed while beginning (killed)",
	} {
		_, err := ask(t, p, body)
		var crash *Crash
		if !errors.As(err, &crash) || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s: %v", body, err)
		}
		if answer, err := ask(t, p, "echo"); err != nil || answer != "did echo" {
			t.Errorf("after %s: %q, %v", body, answer, err)
		}
	}
}

// A worker that takes more memory than it may is told from a crash, with its limit; what stays below
// it is let be, and a later job has a limit of its own.
func TestMemoryLimit(t *testing.T) {
	if testing.Short() {
		t.Skip("fills memory, which the race detector has its own ways with")
	}
	if runtime.GOOS != "linux" {
		t.Skip("only Linux limits another process's memory")
	}
	p := pool(t, 1, patient)
	l := lease(t, p)
	defer l.Release()
	const limit = 400 << 20
	do := func(body string, limit int64) error {
		_, err := l.Do(t.Context(), Job{Body: []byte(body), Stage: "eating", Limit: limit}, nil)
		return err
	}
	if err := do("eat 100", limit); err != nil {
		t.Error("100 MiB are too much:", err)
	}
	var short *OutOfMemory
	if err := do("eat 500", limit); !errors.As(err, &short) || short.Limit != limit ||
		!strings.Contains(err.Error(), "more memory than the 400 MiB it may have, while eating") {
		t.Error("500 MiB:", err)
	}
	if err := do("eat 500", 0); err != nil {
		t.Error("without a limit:", err)
	}
}

// What does not get on is given up in time, whether it sleeps or is stopped, and the reason says at
// what.
func TestStalls(t *testing.T) {
	const timeout = time.Second
	p := pool(t, 1, timeout)
	for body, stage := range map[string]string{"hang": "hanging", "freeze": "beginning"} {
		began := time.Now()
		_, err := ask(t, p, body)
		var stall *Stall
		if !errors.As(err, &stall) || stall.Stage != stage || stall.Waited < timeout {
			t.Errorf("%s: %v", body, err)
		}
		if took := time.Since(began); took > 5*timeout {
			t.Errorf("%s: given up after %v", body, took)
		}
	}
}

// Short waits cost nothing, however many; long ones add up, also over the jobs of a lease.
func TestWaitsAddUp(t *testing.T) {
	p := pool(t, 1, time.Second)
	if _, err := ask(t, p, "steps 30 50ms"); err != nil {
		t.Error("30 short waits, more than a second in all:", err)
	}
	l := lease(t, p)
	defer l.Release()
	var err error
	jobs := 0
	for ; err == nil && jobs < 10; jobs++ {
		_, err = l.Do(t.Context(), Job{Body: []byte("steps 1 450ms"), Stage: "beginning"}, nil)
	}
	var stall *Stall
	if !errors.As(err, &stall) || jobs < 3 || jobs > 4 {
		t.Errorf("given up at job %d: %v", jobs, err)
	}
}

// Progress reaches the one who asked for the job.
func TestProgress(t *testing.T) {
	l := lease(t, pool(t, 1, patient))
	defer l.Release()
	var shares []float64
	_, err := l.Do(t.Context(), Job{Body: []byte("steps 5 40ms"), Stage: "beginning"}, func(stage string, share float64) {
		if stage != "stepping" {
			t.Error(stage)
		}
		shares = append(shares, share)
	})
	if err != nil || len(shares) != 5 || shares[4] != 1 {
		t.Errorf("%v, %v", shares, err)
	}
}

// The end of a context ends the wait at once and the process with it.
func TestInterrupted(t *testing.T) {
	l := lease(t, pool(t, 1, time.Hour))
	defer l.Release()
	ctx, cancel := context.WithCancel(t.Context())
	began := make(chan struct{})
	go func() {
		<-began
		cancel()
	}()
	_, err := l.Do(ctx, Job{Body: []byte("hang"), Stage: "beginning"}, func(string, float64) { close(began) })
	if !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// No more processes live than asked for, and no more memory is promised than there is: what needs
// all of it runs alone.
func TestBudget(t *testing.T) {
	p := NewPool(Config{Command: Ourselves("_worker"), Most: 3, Memory: 100, Timeout: patient})
	defer p.Close()
	var promised, most atomic.Int64
	var wait sync.WaitGroup
	for i := range 12 {
		wait.Go(func() {
			l, err := p.Lease(t.Context())
			if err != nil {
				t.Error(err)
				return
			}
			defer l.Release()
			need := []int64{40, 70, 1000}[i%3]
			_, err = l.Do(t.Context(), Job{Body: []byte("steps 2 30ms"), Need: need}, func(_ string, share float64) {
				if share < 1 {
					now := promised.Add(min(need, 100))
					most.Store(max(most.Load(), now))
				} else {
					promised.Add(-min(need, 100))
				}
			})
			if err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	if most.Load() > 100 {
		t.Errorf("%d promised of 100", most.Load())
	}
	if n := len(p.idle); n < 1 || n > 3 {
		t.Errorf("%d processes", n)
	}
}

// When the process that started them dies, workers do too, also at work.
func TestWorkersOutliveNobody(t *testing.T) {
	l := lease(t, pool(t, 1, time.Hour))
	hanging := make(chan struct{})
	go func() {
		_, _ = l.Do(t.Context(), Job{Body: []byte("hang")}, func(string, float64) { close(hanging) })
	}()
	<-hanging
	p := l.process
	p.stdin.Close() // as the system does
	select {
	case <-p.ended:
	case <-time.After(patient):
		t.Error("it lives on")
	}
}

// A confined worker reads the folders it is given and nothing else, writes nowhere and connects to
// nothing; the process that started it keeps its rights.
func TestConfined(t *testing.T) {
	if Confines() == "" {
		t.Skip("this kernel has no Landlock")
	}
	open, closed := t.TempDir(), t.TempDir()
	inside, outside := filepath.Join(open, "below", "a"), filepath.Join(closed, "b")
	if err := os.Mkdir(filepath.Dir(inside), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{inside, outside} {
		if err := os.WriteFile(path, []byte("x"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	link := filepath.Join(open, "link")
	if err := os.Symlink(outside, link); err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer listener.Close()
	p := NewPool(Config{Command: Ourselves("_worker"), Most: 1, Memory: 1, Timeout: patient,
		Confined: Confinement{Read: []string{open}}})
	defer p.Close()
	for body, allowed := range map[string]bool{
		"read " + inside: true, "read " + outside: false, "read " + link: false, "read /etc/passwd": false,
		"write " + inside: false, "write " + filepath.Join(open, "new"): false, "write " + outside: false,
		"connect " + listener.Addr().String(): false,
	} {
		answer, err := ask(t, p, body)
		if err != nil || allowed != (answer == "<nil>") {
			t.Errorf("%s: %q, %v", body, answer, err)
		}
	}
	if _, err := os.ReadFile(outside); err != nil {
		t.Error("the process that started it is confined too:", err)
	}
}
