package curve

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// TestOutsideSources compares every curve with every outside source there is for it and logs
// which of them agreed (go test -run OutsideSources -v).
func TestOutsideSources(t *testing.T) {
	said := agreement{}
	t.Run("values", func(t *testing.T) { checkValues(t, said) })
	t.Run("OpenColorIO", func(t *testing.T) { checkOpenColorIO(t, said) })
	t.Log("agreed, with the largest difference in n (or code):\n" + said.String())
	for _, c := range All() {
		if len(said[c.Name]) == 0 && c.Name != "Linear" {
			t.Errorf("%s: no outside source was compared", c.Name)
		}
	}
}

// An agreement holds, by curve and source, how often they were compared and the largest
// difference found.
type agreement map[string]map[string]compared

type compared struct {
	values int
	worst  float64
	unit   string
}

func (a agreement) add(curve, source, unit string, difference float64) {
	if a[curve] == nil {
		a[curve] = map[string]compared{}
	}
	c := a[curve][source]
	a[curve][source] = compared{c.values + 1, max(c.worst, difference), unit}
}

func (a agreement) String() string {
	var b strings.Builder
	for _, c := range All() {
		var parts []string
		for source, was := range a[c.Name] {
			parts = append(parts, fmt.Sprintf("%s (%d, %.1e %s)", source, was.values, was.worst, was.unit))
		}
		slices.Sort(parts)
		fmt.Fprintf(&b, "%-21s %s\n", c.Name, strings.Join(parts, "; "))
	}
	return b.String()
}
