package main

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"stopledger/cmd/internal/audit"
	"stopledger/report"
)

// A screen is a pseudoterminal with a reader that keeps all that is written to it.
type screen struct {
	tty  *os.File
	main *os.File
	mu   sync.Mutex
	got  []byte
	over chan struct{}
}

func newScreen(t *testing.T, columns int) *screen {
	t.Helper()
	main, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skip("no pseudoterminals here: ", err)
	}
	number, err := unix.IoctlGetInt(int(main.Fd()), unix.TIOCGPTN)
	if err == nil {
		err = unix.IoctlSetPointerInt(int(main.Fd()), unix.TIOCSPTLCK, 0)
	}
	if err == nil {
		err = unix.IoctlSetWinsize(int(main.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Row: 50, Col: uint16(columns)})
	}
	if err != nil {
		t.Skip("no pseudoterminals here: ", err)
	}
	tty, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skip("no pseudoterminals here: ", err)
	}
	s := &screen{tty: tty, main: main, over: make(chan struct{})}
	go s.read()
	return s
}

func (s *screen) read() {
	defer close(s.over)
	b := make([]byte, 4096)
	for {
		n, err := s.main.Read(b)
		s.mu.Lock()
		s.got = append(s.got, b[:n]...)
		s.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// text closes the terminal and returns all that was written, and the lines left to be seen.
func (s *screen) text() (raw string, lines []string) {
	s.tty.Close()
	<-s.over // the last writer is gone
	s.main.Close()
	return string(s.got), seen(string(s.got))
}

// seen plays what was written to a terminal: the controls the bar uses and no more.
func seen(raw string) []string {
	lines, row, column := [][]rune{nil}, 0, 0
	for raw != "" {
		if code, rest, ok := escape(raw); ok {
			n, _ := strconv.Atoi(code[:len(code)-1])
			switch code[len(code)-1] {
			case 'A':
				row = max(0, row-max(n, 1))
			case 'J':
				lines[row] = lines[row][:min(column, len(lines[row]))]
				lines = lines[:row+1]
			}
			raw = rest
			continue
		}
		r := []rune(raw)[0]
		raw = raw[len(string(r)):]
		switch r {
		case '\r':
			column = 0
		case '\n':
			if row++; row == len(lines) {
				lines = append(lines, nil)
			}
		default:
			for len(lines[row]) <= column {
				lines[row] = append(lines[row], ' ')
			}
			lines[row][column] = r
			column++
		}
	}
	var text []string
	for _, l := range lines {
		text = append(text, strings.TrimRight(string(l), " "))
	}
	for len(text) > 0 && text[len(text)-1] == "" {
		text = text[:len(text)-1]
	}
	return text
}

func escape(s string) (code, rest string, ok bool) {
	if !strings.HasPrefix(s, "\x1b[") {
		return "", s, false
	}
	for i, r := range s[2:] {
		if r >= '@' {
			return s[2 : 2+i+1], s[2+i+1:], true
		}
	}
	return "", s, false
}

// slowly gives the bar time to be drawn while clips are measured.
func slowly(ctx context.Context, j audit.Job) (report.Clip, error) {
	j.Progress(0.3)
	time.Sleep(170 * time.Millisecond) // the bar is drawn every 150 ms
	return fakeMeasure(ctx, j)
}

// On a terminal a bar moves while clips are measured, and at the end only the result is seen,
// the same as without a bar but for the terminal's width.
func TestBarLeavesNoTrace(t *testing.T) {
	inFolder(t, "a.mov", "b.mov", "c-bad.mov", "alarm.mov")
	args := []string{"audit", "a.mov", "b.mov", "c-bad.mov", "alarm.mov", "--jobs", "2"}
	for _, test := range []struct {
		name  string
		quiet bool
		bar   bool
	}{{"bar", false, true}, {"quiet", true, false}} {
		s := newScreen(t, 110)
		call := args
		if test.quiet {
			call = append(call, "--quiet")
		}
		a := app{measure: slowly, version: "0.0-test", stdout: s.tty, stderr: s.tty}
		if code := a.run(t.Context(), call); code != exitSomeFailed {
			t.Errorf("%s: exit code %d", test.name, code)
		}
		raw, lines := s.text()
		if got := strings.Contains(raw, " of 4, "); got != test.bar {
			t.Errorf("%s: bar seen: %v, want %v", test.name, got, test.bar)
		}
		golden(t, "terminal.txt", strings.Join(lines, "\n")+"\n")
	}
}

// With stdout elsewhere the bar's terminal is left empty but for errors.
func TestBarBesidePipe(t *testing.T) {
	inFolder(t, "a.mov", "c-bad.mov")
	s := newScreen(t, 80)
	out, err := os.Create("out.json")
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	a := app{measure: slowly, version: "0.0-test", stdout: out, stderr: s.tty}
	a.run(t.Context(), []string{"audit", "a.mov", "c-bad.mov", "--format", "json"})
	raw, lines := s.text()
	if !strings.Contains(raw, " of 2, ") {
		t.Error("no bar was drawn")
	}
	if len(lines) != 1 || !strings.HasPrefix(lines[0], "not measured: c-bad.mov") {
		t.Errorf("left on the terminal: %q", lines)
	}
	written, err := os.ReadFile("out.json")
	if err != nil || written[0] != '{' || strings.Contains(string(written), "\x1b") {
		t.Errorf("%v: %q", err, written)
	}
}

func TestColour(t *testing.T) {
	inFolder(t, "alarm.mov")
	for _, test := range []struct {
		variable, value string
		want            bool
	}{{"NO_COLOR", "", true}, {"NO_COLOR", "1", false}, {"TERM", "dumb", false}} {
		t.Run(test.variable+"="+test.value, func(t *testing.T) {
			t.Setenv("NO_COLOR", "")
			t.Setenv("TERM", "xterm")
			t.Setenv(test.variable, test.value)
			s := newScreen(t, 80)
			a := app{measure: fakeMeasure, version: "0.0-test", stdout: s.tty, stderr: s.tty}
			a.run(t.Context(), []string{"audit", "alarm.mov", "--quiet"})
			raw, lines := s.text()
			if got := strings.Contains(raw, "\x1b["); got != test.want {
				t.Errorf("colour: %v, want %v", got, test.want)
			}
			if !strings.HasPrefix(lines[1], "alarm.mov  !") {
				t.Errorf("the sign does not stand without colour: %q", lines)
			}
		})
	}
}
