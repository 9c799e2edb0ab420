// Package config reads a user's own defaults from a TOML file.
package config

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"

	"github.com/adrg/xdg"

	"stopledger/cmd/internal/tomlfile"
	"stopledger/curve"
)

// Path is where the file lies in the user's own folder for settings: $XDG_CONFIG_HOME or ~/.config on
// Linux.
func Path() string { return filepath.Join(xdg.ConfigHome, "stopledger", "config.toml") }

// A Config is what a user wants where flags say nothing.
type Config struct {
	Path     string    // of the file
	Found    bool      // there is one
	Defaults []Default // in the order of keys
	file     *tomlfile.File
}

// A Default is the value of a flag.
type Default struct {
	Flag string // its name, and the key's
	Text string // its value, as the flag takes it
}

// keys are what the file may hold: names of flags. A value is a text or a number.
type keys struct {
	Assume  any `toml:"assume"`  // curve of clips that name none
	EI      any `toml:"ei"`      // exposure index of clips that name none
	Target  any `toml:"target"`  // stops over nominal, or scene
	Display any `toml:"display"` // file of a display transform
	Profile any `toml:"profile"` // file of a camera's profile
}

// Read reads the file of a path. That there is none is no error, nor is an empty path.
func Read(path string) (Config, error) {
	c := Config{Path: path}
	if path == "" {
		return c, nil
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return c, nil
	}
	var k keys
	file, err := tomlfile.Read(path, &k)
	if err != nil {
		return c, err
	}
	c.Found, c.file = true, file
	for _, one := range []struct {
		flag  string
		value any
		path  func(text string) bool // tells whether the text is a path
	}{
		{"assume", k.Assume, isCurveFile}, {"ei", k.EI, never}, {"target", k.Target, never},
		{"display", k.Display, always}, {"profile", k.Profile, always},
	} {
		if one.value == nil {
			continue
		}
		text, err := textOf(one.value)
		if err != nil {
			return c, c.Errorf(one.flag, "%s %w", one.flag, err)
		}
		if one.path(text) && !filepath.IsAbs(text) {
			text = filepath.Join(filepath.Dir(path), text) // wherever the program is started from
		}
		c.Defaults = append(c.Defaults, Default{one.flag, text})
	}
	return c, nil
}

// Errorf is an error about a key, with the file and the key's line.
func (c Config) Errorf(flag, format string, args ...any) error {
	return c.file.Errorf([]string{flag}, format, args...)
}

func always(string) bool { return true }
func never(string) bool  { return false }

// isCurveFile tells whether a curve is named by its file.
func isCurveFile(text string) bool {
	_, err := curve.Find(text)
	return err != nil && filepath.Ext(text) != ""
}

func textOf(value any) (string, error) {
	switch v := value.(type) {
	case string:
		if v != "" {
			return v, nil
		}
		return "", errors.New("is empty: leave it out")
	case int64:
		return strconv.FormatInt(v, 10), nil
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64), nil
	}
	return "", fmt.Errorf("cannot be %v: it takes a text or a number", value)
}
