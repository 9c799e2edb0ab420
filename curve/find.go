package curve

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/agnivade/levenshtein"
)

// All returns the published curves in the order they are shown to people.
func All() []*Curve { return slices.Clone(published) }

// Find returns the published curve of a name, matched without case, spaces, dots, dashes and
// underscores: "slog3" is S-Log3. "LogC3 EI1600" is LogC3 at that exposure index. Any other
// name gives an *UnknownError.
func Find(name string) (*Curve, error) {
	key := Fold(name)
	for _, c := range published {
		if slices.Contains(c.keys(), key) {
			return c, nil
		}
	}
	for _, c := range published {
		for _, k := range c.keys() {
			if index, ok := strings.CutPrefix(key, k+"ei"); ok {
				if ei, err := strconv.Atoi(index); err == nil {
					return c.WithIndex(ei)
				}
			}
		}
	}
	return nil, &UnknownError{Name: name, Nearest: nearest(key)}
}

// An UnknownError says that no published curve has a name.
type UnknownError struct {
	Name    string   // as it was asked for
	Nearest []string // published names most like it, best first
}

// Error names the nearest published curves.
func (e *UnknownError) Error() string {
	return fmt.Sprintf("no curve is called %q: nearest are %s; stopledger curves lists them all",
		e.Name, strings.Join(e.Nearest, ", "))
}

// keys are the names of a curve as Fold makes them.
func (c *Curve) keys() []string {
	keys := []string{Fold(c.Name)}
	for _, n := range c.Also {
		keys = append(keys, Fold(n))
	}
	return keys
}

var ignored = strings.NewReplacer(" ", "", ".", "", "-", "", "_", "")

// Fold makes names comparable: without case, spaces, dots, dashes and underscores. It gives the
// shortest spelling that Find takes: "slog3" of "S-Log3".
func Fold(name string) string { return ignored.Replace(strings.ToLower(name)) }

// longestName is how much of a typed name is compared: names are short.
const longestName = 64

// nearest returns the three names that take fewest edits to reach.
func nearest(key string) []string {
	type near struct {
		name  string
		edits int
	}
	var all []near
	for _, c := range published {
		best := near{c.Name, 1 << 30}
		for _, k := range c.keys() {
			best.edits = min(best.edits, levenshtein.ComputeDistance(key[:min(len(key), longestName)], k))
		}
		all = append(all, best)
	}
	slices.SortStableFunc(all, func(a, b near) int { return cmp.Compare(a.edits, b.edits) })
	names := make([]string, 3)
	for i := range names {
		names[i] = all[i].name
	}
	return names
}
