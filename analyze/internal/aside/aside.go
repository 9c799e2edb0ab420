// Package aside lets one piece of work run beside its caller.
package aside

// A Task runs pieces of work one after another, each on a goroutine of its own. It is used by one goroutine.
type Task struct {
	done chan any // told the reason of a panic, or nil; nil itself while nothing runs
}

// Run waits for the work before, and starts this. The caller goes on meanwhile.
func (t *Task) Run(work func()) {
	t.Wait()
	done := make(chan any, 1)
	t.done = done
	go func() {
		defer func() { done <- recover() }()
		work()
	}()
}

// Wait waits until nothing runs. It panics as the work did.
func (t *Task) Wait() {
	if reason := t.End(); reason != nil {
		panic(reason)
	}
}

// End waits as Wait does, and returns the reason of a panic instead, nil without one.
func (t *Task) End() (reason any) {
	if t.done == nil {
		return nil
	}
	reason = <-t.done
	t.done = nil
	return reason
}
