// Package profile reads and writes a camera's profile as a TOML file.
package profile

import (
	"bytes"
	"cmp"
	_ "embed" // for the head of a file
	"fmt"
	"maps"
	"slices"
	"strconv"

	"github.com/pelletier/go-toml/v2"

	"stopledger/analyze/clipping"
	"stopledger/analyze/noise"
	"stopledger/analyze/plan"
	"stopledger/cmd/internal/tomlfile"
	"stopledger/curve"
)

// Version of the file's layout: keys may be added to it; one that changes or goes makes another version.
const Version = 1

// Head explains each key; it stands at the head of every file.
//
//go:embed head.toml
var Head string

// A file is a profile as written.
type file struct {
	Version     int      `toml:"version"`
	Camera      string   `toml:"camera"`
	Curve       string   `toml:"curve"`
	Index       int      `toml:"exposure_index,omitempty"`
	BaseISOs    []int    `toml:"base_isos"`
	NoGainAbove *int     `toml:"no_gain_above,omitempty"`
	Notes       []string `toml:"notes"`

	ISO map[string]iso `toml:"iso,omitempty"` // by number
}

// An iso is one ISO as written; a key is left out where it was not measured.
type iso struct {
	Takes     int      `toml:"takes"`
	Dark      int      `toml:"dark_takes"`
	Read      *float64 `toml:"read_linear,omitempty"`
	ReadLow   *float64 `toml:"read_low,omitempty"`
	ReadHigh  *float64 `toml:"read_high,omitempty"`
	Shot      *float64 `toml:"shot_linear,omitempty"`
	ShotLow   *float64 `toml:"shot_low,omitempty"`
	ShotHigh  *float64 `toml:"shot_high,omitempty"`
	Floor     *float64 `toml:"floor_stops,omitempty"`
	FloorLow  *float64 `toml:"floor_low_stops,omitempty"`
	FloorHigh *float64 `toml:"floor_high_stops,omitempty"`
	Coding    *float64 `toml:"coding_loss_db,omitempty"`
	Reason    string   `toml:"reason,omitempty"`
	Reduced   []string `toml:"noise_reduction,omitempty"`
	Ceiling   *float64 `toml:"ceiling_stops"`
	Origin    string   `toml:"ceiling_origin"`
	Ceilings  *codes   `toml:"ceilings,omitempty,inline"`
}

// codes are those at which channels clip.
type codes struct {
	R *float64 `toml:"r,omitempty"`
	G *float64 `toml:"g,omitempty"`
	B *float64 `toml:"b,omitempty"`
}

// Bytes returns a profile as a file.
func Bytes(p *plan.Profile) ([]byte, error) {
	f := file{Version: Version, Camera: p.Camera, Curve: p.Curve, Index: p.Index, BaseISOs: p.BaseISOs,
		NoGainAbove: p.NoGainAbove, Notes: p.Notes}
	var b bytes.Buffer
	b.WriteString(Head)
	err := toml.NewEncoder(&b).Encode(f)
	for _, one := range p.ISOs { // lowest first, which a map would not keep
		fmt.Fprintf(&b, "\n[iso.%d]\n", one.ISO)
		err = cmp.Or(err, toml.NewEncoder(&b).Encode(written(one)))
	}
	if err != nil {
		return nil, fmt.Errorf("the profile cannot be written: %w", err)
	}
	return b.Bytes(), nil
}

func written(one plan.ISO) iso {
	w := iso{Takes: one.Takes, Dark: one.Dark, Read: light(one.Read), ReadLow: light(one.ReadLow),
		ReadHigh: light(one.ReadHigh), Shot: light(one.Shot), ShotLow: light(one.ShotLow), ShotHigh: light(one.ShotHigh),
		Floor: level(one.Floor), FloorLow: level(one.FloorLow), FloorHigh: level(one.FloorHigh),
		Coding: level(one.Coding), Reason: one.Reason, Ceiling: level(one.Ceiling), Origin: string(one.Origin),
		Ceilings: &codes{level(one.Ceilings.R), level(one.Ceilings.G), level(one.Ceilings.B)}}
	if *w.Ceilings == (codes{}) {
		w.Ceilings = nil
	}
	for _, c := range one.Reduced {
		w.Reduced = append(w.Reduced, string(c))
	}
	return w
}

// light is written to five significant digits, nil where it is not known.
func light(v curve.Light) *float64 {
	if !curve.Finite(v) {
		return nil
	}
	f, err := strconv.ParseFloat(strconv.FormatFloat(float64(v), 'e', 4, 64), 64)
	if err != nil {
		return nil
	}
	return &f
}

// level is written to four decimals, nil where it is not known.
func level[T ~float64](v T) *float64 {
	if !curve.Finite(v) {
		return nil
	}
	f := float64(curve.Round(v, 4))
	return &f
}

// Load reads a profile. An error tells the line.
func Load(path string) (*plan.Profile, error) {
	var f file
	where, err := tomlfile.Read(path, &f)
	if err != nil {
		return nil, err
	}
	return f.profile(path, where)
}

// Parse reads what a file of a path holds.
func Parse(path string, text []byte) (*plan.Profile, error) {
	var f file
	where, err := tomlfile.Decode(path, text, &f)
	if err != nil {
		return nil, err
	}
	return f.profile(path, where)
}

// profile checks a file and makes the profile of it.
func (f *file) profile(path string, where *tomlfile.File) (*plan.Profile, error) {
	if err := f.check(where); err != nil {
		return nil, err
	}
	p := &plan.Profile{File: path, Camera: f.Camera, Curve: f.Curve, Index: f.Index, BaseISOs: f.BaseISOs,
		NoGainAbove: f.NoGainAbove, Notes: f.Notes}
	for _, key := range slices.Sorted(maps.Keys(f.ISO)) {
		number, err := strconv.Atoi(key)
		one := f.ISO[key]
		if err != nil || number < 1 || strconv.Itoa(number) != key {
			return nil, where.Errorf([]string{"iso", key}, "[iso.%s] names no ISO: it takes a whole number such as 800", key)
		}
		if err := one.check(where, key); err != nil {
			return nil, err
		}
		p.ISOs = append(p.ISOs, one.read(number))
	}
	slices.SortFunc(p.ISOs, func(a, b plan.ISO) int { return cmp.Compare(a.ISO, b.ISO) })
	if err := f.checkISOs(p, where); err != nil {
		return nil, err
	}
	p.Derive()
	return p, nil
}

func (i iso) read(number int) plan.ISO {
	one := plan.ISO{ISO: number, Takes: i.Takes, Dark: i.Dark, Coding: known[curve.Decibels](i.Coding), Reason: i.Reason,
		Ceiling: known[curve.Stops](i.Ceiling), Origin: clipping.Origin(i.Origin), Reduced: []noise.Cause{}}
	one.Camera = noise.Camera{Read: known[curve.Light](i.Read), ReadLow: known[curve.Light](i.ReadLow),
		ReadHigh: known[curve.Light](i.ReadHigh), Shot: known[curve.Light](i.Shot), ShotLow: known[curve.Light](i.ShotLow),
		ShotHigh: known[curve.Light](i.ShotHigh), Floor: known[curve.Stops](i.Floor),
		FloorLow: known[curve.Stops](i.FloorLow), FloorHigh: known[curve.Stops](i.FloorHigh)}
	c := cmp.Or(i.Ceilings, &codes{})
	one.Ceilings = plan.Ceilings{R: known[curve.Code](c.R), G: known[curve.Code](c.G), B: known[curve.Code](c.B)}
	for _, cause := range i.Reduced {
		one.Reduced = append(one.Reduced, noise.Cause(cause))
	}
	return one
}

func known[T ~float64](v *float64) T {
	if v == nil {
		return curve.Unknown[T]()
	}
	return T(*v)
}
