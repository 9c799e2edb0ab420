// Package rules reads a show's rules from a TOML file.
package rules

import (
	_ "embed" // for Example
	"fmt"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"stopledger/analyze/advise"
	"stopledger/analyze/rule"
	"stopledger/cmd/internal/spelling"
	"stopledger/cmd/internal/tomlfile"
	"stopledger/curve"
)

// Example is a file of rules that has every key, each explained.
//
//go:embed example.toml
var Example string

// A Section is what a file asks of all clips, or of those in some folders.
type Section struct {
	Name      string            `toml:"name"`         // by which findings name it
	Intended  *float64          `toml:"intended"`     // stops over nominal
	Tolerance *float64          `toml:"tolerance"`    // stops
	Target    *float64          `toml:"target"`       // stops over nominal
	Curve     []string          `toml:"curve"`        // names of published curves
	LeastSNR  *SNR              `toml:"least_snr"`    // at a tone
	Clipped   *float64          `toml:"most_clipped"` // share of the frame
	ISO       []float64         `toml:"iso"`          // those allowed
	Shutter   []string          `toml:"shutter"`      // those allowed, as rule.ParseShutter reads them
	Levels    map[string]string `toml:"levels"`       // by id of the finding
}

// An SNR is the least signal-to-noise ratio at a tone.
type SNR struct {
	Tone *float64 `toml:"tone"` // stops from the subject's grey
	DB   *float64 `toml:"db"`   // dB
}

// A file is a whole file of rules.
type file struct {
	Section
	Folder map[string]Section `toml:"folder"` // by pattern
}

// Load reads a file of rules. An error tells the line.
func Load(name string) (*rule.Set, error) {
	var f file
	where, err := tomlfile.Read(name, &f)
	if err != nil {
		return nil, err
	}
	return f.set(name, where)
}

// Parse reads what a file of rules holds.
func Parse(name string, text []byte) (*rule.Set, error) {
	var f file
	where, err := tomlfile.Decode(name, text, &f)
	if err != nil {
		return nil, err
	}
	return f.set(name, where)
}

// set checks a file and puts its sections in order.
func (f *file) set(name string, where *tomlfile.File) (*rule.Set, error) {
	set := &rule.Set{File: name}
	if f.Name == "" {
		f.Name = strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
	}
	all, err := f.Section.check(where, nil)
	if err != nil {
		return nil, err
	}
	set.Sections = append(set.Sections, all)
	line := func(pattern string) int { return where.Line("folder", pattern) }
	patterns := slices.SortedFunc(maps.Keys(f.Folder), func(a, b string) int { return line(a) - line(b) })
	for _, pattern := range patterns {
		section := f.Folder[pattern]
		if section.Name == "" {
			section.Name = pattern
		}
		s, err := section.check(where, []string{"folder", pattern})
		if err != nil {
			return nil, err
		}
		if s.Folder, err = checkPattern(where, pattern); err != nil {
			return nil, err
		}
		set.Sections = append(set.Sections, s)
	}
	if !slices.ContainsFunc(set.Sections, asksSomething) {
		return nil, fmt.Errorf("%s asks nothing: stopledger help rules shows what it can ask", name)
	}
	return set, nil
}

func asksSomething(s rule.Section) bool {
	return s.Intended != nil || s.Tolerance != nil || s.Target != nil || s.Curves != nil || s.LeastSNR != nil ||
		s.Clipped != nil || s.ISO != nil || s.Shutters != nil || len(s.Levels) > 0
}

func checkPattern(where *tomlfile.File, pattern string) (string, error) {
	key := []string{"folder", pattern}
	if _, err := path.Match(pattern, ""); err != nil {
		return "", where.Errorf(key, "folder %q is no pattern: * stands for any letters, ? for one, [ab] for a or b", pattern)
	}
	clean := path.Clean(filepath.ToSlash(pattern))
	if clean == "." || strings.HasPrefix(clean, "..") {
		return "", where.Errorf(key, "folder %q names no folder: write day2 or day2/cam_*", pattern)
	}
	return clean, nil
}

// A checker checks the values of one section; the first mistake stays.
type checker struct {
	where *tomlfile.File
	table []string // of the section
	err   error
}

// check turns a section into what clips are judged by.
func (s *Section) check(where *tomlfile.File, table []string) (rule.Section, error) {
	c := checker{where: where, table: table}
	const most = 12 // stops
	out := rule.Section{Name: s.Name,
		Intended:  between[curve.Stops](&c, s.Intended, -most, most, "intended", "stops over nominal"),
		Tolerance: between[curve.Stops](&c, s.Tolerance, 0.01, most, "tolerance", "stops"),
		Target:    between[curve.Stops](&c, s.Target, -most, most, "target", "stops over nominal"),
		Clipped:   between[curve.Share](&c, s.Clipped, 0, 1, "most_clipped", "a share of the frame"),
		LeastSNR:  c.snr(s.LeastSNR), Curves: c.curves(s.Curve), ISO: c.iso(s.ISO), Shutters: c.shutters(s.Shutter),
		Levels: c.levels(s.Levels)}
	return out, c.err
}

func (c *checker) mistake(key []string, format string, args ...any) {
	if c.err == nil {
		c.err = c.where.Errorf(append(slices.Clone(c.table), key...), format, args...)
	}
}

// between checks a number by what it may be, of what it is a number.
func between[T ~float64](c *checker, v *float64, low, high float64, key, of string) *T {
	if v == nil {
		return nil
	}
	if !(*v >= low && *v <= high) {
		c.mistake([]string{key}, "%s cannot be %g: it takes %s from %g to %g", key, *v, of, low, high)
	}
	t := T(*v)
	return &t
}

func (c *checker) snr(s *SNR) *rule.SNR {
	if s == nil {
		return nil
	}
	key := []string{"least_snr"}
	if s.Tone == nil || s.DB == nil {
		c.mistake(key, "least_snr takes a tone and dB, as in { tone = -4, db = 20 }")
		return nil
	}
	tone, db := *s.Tone, *s.DB
	if !(tone >= -12 && tone <= 12) || !(db >= -20 && db <= 100) {
		c.mistake(key, "least_snr cannot be %g dB at %g stops: it takes -20 to 100 dB, and tones from -12 to 12", db, tone)
	}
	return &rule.SNR{Scene: curve.Stops(tone), Least: curve.Decibels(db)}
}

// few tells whether a list that was given has nothing in it, which would allow nothing.
func few[T any](c *checker, list []T, key string) bool {
	if list != nil && len(list) == 0 {
		c.mistake([]string{key}, "%s lists nothing, which no clip could keep to: leave it out", key)
	}
	return len(list) == 0
}

func (c *checker) curves(names []string) (out []string) {
	if few(c, names, "curve") {
		return nil
	}
	for _, name := range names {
		found, err := curve.Find(name)
		if err != nil {
			c.mistake([]string{"curve"}, "%w", err)
			return nil
		}
		base, _, _ := strings.Cut(found.Name, " EI")
		out = append(out, base)
	}
	return out
}

func (c *checker) iso(all []float64) (out []curve.Amount) {
	if few(c, all, "iso") {
		return nil
	}
	for _, v := range all {
		if !(v >= 1 && v <= 1e7) {
			c.mistake([]string{"iso"}, "iso cannot be %g: it takes numbers such as 800", v)
		}
		out = append(out, curve.Amount(v))
	}
	return out
}

func (c *checker) shutters(all []string) (out []rule.Shutter) {
	if few(c, all, "shutter") {
		return nil
	}
	for _, text := range all {
		s, err := rule.ParseShutter(text)
		if err != nil {
			c.mistake([]string{"shutter"}, "%w", err)
		}
		out = append(out, s)
	}
	return out
}

func (c *checker) levels(of map[string]string) map[string]rule.Level {
	out := map[string]rule.Level{}
	var known []string
	for _, id := range advise.IDs() {
		known = append(known, string(id))
	}
	for _, id := range slices.Sorted(maps.Keys(of)) {
		key, level := []string{"levels", id}, rule.Level(of[id])
		switch {
		case !slices.Contains(known, id):
			words := fmt.Sprintf("no finding is called %q", id)
			if near := spelling.Nearest(id, known); near != "" {
				words += "; did you mean " + near + "?"
			}
			c.mistake(key, "%s", words)
		case level.Rank() == 0:
			c.mistake(key, "the level of %s cannot be %q: it takes note, caution or alarm", id, of[id])
		}
		out[id] = level
	}
	return out
}
