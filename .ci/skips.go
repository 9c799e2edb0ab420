// Skips reads what go test -json prints and shows what go test prints, with the output of tests
// that failed. To the file of its second argument it writes every test that was skipped, with its
// reason. It fails where a test failed, where a skipped test is not on the list of its first
// argument, and where the list names a test that is not there.
package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"
)

// An event is one line of go test -json (go doc test2json).
type event struct {
	Action  string // output, pass, fail, skip, build-output ...
	Package string // import path
	Test    string // empty where the event is the package's
	Output  string // a line, or a part of one
}

// A run is what the tests did. Tests are named "package.Test".
type run struct {
	output  map[string][]string // of tests that have not ended
	seen    map[string]bool     // tests that ran
	skipped map[string]string   // reasons
	failed  bool
}

func main() {
	if err := skips(os.Args[1:], os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "skips:", err)
		os.Exit(1)
	}
}

func skips(args []string, in io.Reader, out io.Writer) error {
	if len(args) != 2 {
		return fmt.Errorf("takes the list of tests that may be skipped and the file to write")
	}
	list, err := os.ReadFile(args[0])
	if err != nil {
		return err
	}
	r, err := follow(in, out)
	if err != nil {
		return err
	}
	told, wrong := r.tell(readList(string(list)))
	if err := os.WriteFile(args[1], []byte(told), 0o644); err != nil {
		return err
	}
	if len(wrong) > 0 {
		return fmt.Errorf("%s", strings.Join(wrong, "\n"))
	}
	return nil
}

// readList returns the tests of a list: a name a line, then why; # begins a comment.
func readList(list string) (names []string) {
	for line := range strings.Lines(list) {
		line, _, _ = strings.Cut(line, "#")
		if f := strings.Fields(line); len(f) > 0 {
			names = append(names, f[0])
		}
	}
	return names
}

// follow reads events to their end and prints what a person wants to see of them.
func follow(in io.Reader, out io.Writer) (*run, error) {
	r := &run{map[string][]string{}, map[string]bool{}, map[string]string{}, false}
	lines := bufio.NewReader(in)
	for {
		line, err := lines.ReadString('\n')
		if line != "" {
			var e event
			if json.Unmarshal([]byte(line), &e) != nil {
				e = event{Action: "output", Output: line}
			}
			r.take(e, out)
		}
		if err == io.EOF {
			return r, nil
		}
		if err != nil {
			return nil, err
		}
	}
}

func (r *run) take(e event, out io.Writer) {
	name := strings.TrimPrefix(e.Package, "stopledger/") + "." + e.Test
	switch {
	case e.Test == "" && e.Output != "":
		if e.Output != "PASS\n" {
			fmt.Fprint(out, e.Output)
		}
	case e.Test == "":
		r.failed = r.failed || strings.HasSuffix(e.Action, "fail")
	case e.Action == "output":
		r.output[name] = append(r.output[name], e.Output)
	case e.Action == "run":
		r.seen[name] = true
	case e.Action == "skip":
		r.skipped[name] = reason(r.output[name])
		delete(r.output, name)
	case e.Action == "fail":
		r.failed = true
		fmt.Fprint(out, strings.Join(r.output[name], ""))
		delete(r.output, name)
	case e.Action == "pass":
		delete(r.output, name)
	}
}

// reason is what a skipped test said, on one line.
func reason(output []string) string {
	var said []string
	for _, line := range output {
		line = strings.TrimSpace(line)
		if !strings.HasPrefix(line, "===") && !strings.HasPrefix(line, "---") {
			said = append(said, line)
		}
	}
	return strings.Join(said, " ")
}

// tell names the skipped tests, and what is wrong with the run.
func (r *run) tell(may []string) (told string, wrong []string) {
	if r.failed {
		wrong = append(wrong, "tests failed")
	}
	if len(r.seen) == 0 {
		wrong = append(wrong, "no test ran")
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%d tests ran, %d were skipped\n", len(r.seen), len(r.skipped))
	for name, why := range r.skipped {
		if !onList(may, name) {
			wrong = append(wrong, name+" was skipped and may not be: "+why)
		}
	}
	for _, name := range may {
		if r.ran(name) && !r.seen[name] {
			wrong = append(wrong, name+" may be skipped, but there is no such test")
		}
	}
	for _, name := range slices.Sorted(maps.Keys(r.skipped)) {
		fmt.Fprintf(&b, "  %s: %s\n", name, r.skipped[name])
	}
	slices.Sort(wrong)
	return b.String(), wrong
}

// ran tells whether any test of a test's package ran.
func (r *run) ran(name string) bool {
	folder, _, _ := strings.Cut(name, ".")
	for test := range r.seen {
		if strings.HasPrefix(test, folder+".") {
			return true
		}
	}
	return false
}

// onList tells whether a test, or the test it is a part of, is on a list.
func onList(list []string, name string) bool {
	return slices.ContainsFunc(list, func(l string) bool { return name == l || strings.HasPrefix(name, l+"/") })
}
