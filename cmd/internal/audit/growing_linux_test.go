package audit

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/synctest"

	"stopledger/analyze"
	"stopledger/cmd/internal/card"
	"stopledger/report"
)

// A clip that is open for writing is measured last, when that is over, and handed on in its place;
// one that is written still is named.
func TestGrowingClips(t *testing.T) {
	for _, test := range []struct {
		name     string
		settings analyze.Settings
		still    bool
		order    []string // of measuring
		clips    []string
	}{
		{"through before its turn", analyze.Settings{}, false, []string{"b.mov", "c.mov", "a.mov"},
			[]string{"a.mov", "b.mov", "c.mov"}},
		{"written still", analyze.Settings{}, true, []string{"b.mov", "c.mov"}, []string{"b.mov", "c.mov"}},
		{"clips wait for it", analyze.Settings{HoldGrey: true}, true, []string{"b.mov", "c.mov"},
			[]string{"b.mov", "c.mov"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			inFolder(t, "a.mov", "b.mov", "c.mov")
			found, err := card.Find(context.Background(), []string{"a.mov", "b.mov", "c.mov"}, false, nil)
			if err != nil {
				t.Fatal(err)
			}
			writer, err := os.OpenFile("a.mov", os.O_WRONLY, 0)
			if err != nil {
				t.Fatal(err)
			}
			defer writer.Close()
			synctest.Test(t, func(t *testing.T) {
				var order []string
				res := Batch{Entries: found.Entries, Jobs: 1, Settings: test.settings,
					Measure: func(ctx context.Context, j Job) (report.Clip, error) {
						order = append(order, j.Path)
						if j.Path == "c.mov" && !test.still {
							writer.Close()
						}
						return fakeMeasure(ctx, j)
					}}.Run(context.Background())
				if got := report.Paths(res.Clips); !slices.Equal(got, test.clips) || !slices.Equal(order, test.order) {
					t.Errorf("measured in the order %q, handed on as %q", order, got)
				}
				still := len(res.Failed) == 1 && strings.Contains(res.Failed[0].Error, "still being written")
				if still != test.still {
					t.Errorf("failed: %+v", res.Failed)
				}
			})
		})
	}
}

// A clip that changes under the reader fails: its frames may be of two recordings.
func TestClipThatChangesWhileMeasured(t *testing.T) {
	inFolder(t, "a.mov", "b.mov")
	found, err := card.Find(context.Background(), []string{"a.mov", "b.mov"}, false, nil)
	if err != nil {
		t.Fatal(err)
	}
	res := Batch{Entries: found.Entries, Jobs: 1, Measure: func(ctx context.Context, j Job) (report.Clip, error) {
		if j.Path == "a.mov" {
			if err := os.WriteFile("a.mov", []byte("longer than it was"), 0o644); err != nil {
				t.Error(err)
			}
		}
		return fakeMeasure(ctx, j)
	}}.Run(t.Context())
	if len(res.Clips) != 1 || len(res.Failed) != 1 || !strings.Contains(res.Failed[0].Error,
		"the clip changed while it was measured; measure it again") {
		t.Errorf("measured %q, failed %+v", report.Paths(res.Clips), res.Failed)
	}
}
