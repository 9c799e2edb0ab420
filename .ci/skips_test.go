package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// lines as go test -json prints them, shortened.
const printed = `{"Action":"start","Package":"stopledger/a"}
{"Action":"run","Package":"stopledger/a","Test":"TestGood"}
{"Action":"output","Package":"stopledger/a","Test":"TestGood","Output":"=== RUN   TestGood\n"}
{"Action":"pass","Package":"stopledger/a","Test":"TestGood"}
{"Action":"run","Package":"stopledger/a","Test":"TestAway"}
{"Action":"run","Package":"stopledger/a","Test":"TestAway/part"}
{"Action":"output","Package":"stopledger/a","Test":"TestAway/part","Output":"=== RUN   TestAway/part\n"}
{"Action":"output","Package":"stopledger/a","Test":"TestAway/part","Output":"    a_test.go:7: the film is not here\n"}
{"Action":"output","Package":"stopledger/a","Test":"TestAway/part","Output":"--- SKIP: TestAway/part (0.00s)\n"}
{"Action":"skip","Package":"stopledger/a","Test":"TestAway/part"}
{"Action":"pass","Package":"stopledger/a","Test":"TestAway"}
{"Action":"output","Package":"stopledger/a","Output":"PASS\n"}
{"Action":"output","Package":"stopledger/a","Output":"ok  \tstopledger/a\t0.1s\n"}
{"Action":"pass","Package":"stopledger/a"}
{"Action":"output","Package":"stopledger/b","Output":"?   \tstopledger/b\t[no test files]\n"}
{"Action":"skip","Package":"stopledger/b"}
`

const bad = `{"Action":"run","Package":"stopledger/c","Test":"TestBad"}
{"Action":"output","Package":"stopledger/c","Test":"TestBad","Output":"    c_test.go:1: got 1, want 2\n"}
{"Action":"fail","Package":"stopledger/c","Test":"TestBad"}
{"Action":"fail","Package":"stopledger/c"}
`

func TestSkips(t *testing.T) {
	for _, tc := range []struct {
		name, list, printed string
		wrong, shown, told  string // parts; wrong is empty where all is well
	}{
		{"listed", "a.TestAway media\n# a comment\n", printed, "", "ok  \tstopledger/a",
			"a.TestAway/part: a_test.go:7: the film is not here"},
		{"not listed", "", printed, "a.TestAway/part was skipped and may not be", "ok", "3 tests ran, 1 were skipped"},
		{"stale", "a.TestAway\na.TestGone\n", printed,
			"a.TestGone may be skipped, but there is no such test", "ok", "a.TestAway"},
		{"failed", "a.TestAway\n", printed + bad, "tests failed", "got 1, want 2", "a.TestAway"},
		{"not built", "", `{"Action":"build-fail","ImportPath":"stopledger/d"}`, "tests failed", "", "0 tests ran"},
		{"not JSON", "", "go: no such flag\n", "no test ran", "go: no such flag", "0 tests ran"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			list, to := filepath.Join(t.TempDir(), "list"), filepath.Join(t.TempDir(), "told")
			if err := os.WriteFile(list, []byte(tc.list), 0o600); err != nil {
				t.Fatal(err)
			}
			var shown strings.Builder
			err := skips([]string{list, to}, strings.NewReader(tc.printed), &shown)
			if (err == nil) != (tc.wrong == "") || err != nil && !strings.Contains(err.Error(), tc.wrong) {
				t.Errorf("%v, want %q", err, tc.wrong)
			}
			told, err := os.ReadFile(to)
			if err != nil || !strings.Contains(string(told), tc.told) {
				t.Errorf("told %q (%v), want %q", told, err, tc.told)
			}
			if !strings.Contains(shown.String(), tc.shown) || strings.Contains(shown.String(), "PASS") {
				t.Errorf("showed %q, want %q", shown.String(), tc.shown)
			}
		})
	}
}

func TestReadList(t *testing.T) {
	got := readList("# why\na.TestOne  media\n\nb.TestTwo/part # a note\n")
	if want := []string{"a.TestOne", "b.TestTwo/part"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
