package aside

import "testing"

// TestOneAtATime: work runs in order, beside the caller, and is over after Wait.
func TestOneAtATime(t *testing.T) {
	var task Task
	var order []int
	begun := make(chan bool)
	for i := range 5 {
		task.Run(func() {
			<-begun
			order = append(order, i)
		})
		begun <- true // it does not run yet where Run ran the work itself
	}
	task.Wait()
	for i, got := range order {
		if got != i {
			t.Fatalf("work ran in the order %v", order)
		}
	}
	if len(order) != 5 {
		t.Fatalf("%d of 5 ran", len(order))
	}
	task.Wait() // nothing runs
}

// TestPanics: a panic reaches the caller once, with Wait or with End.
func TestPanics(t *testing.T) {
	var task Task
	task.Run(func() { panic("broken") })
	func() {
		defer func() {
			if recover() != "broken" {
				t.Error("the panic is lost")
			}
		}()
		task.Wait()
	}()
	if reason := task.End(); reason != nil {
		t.Errorf("it is told again: %v", reason)
	}
	task.Run(func() { panic("again") })
	if task.End() != "again" {
		t.Error("the second panic is lost")
	}
}
