// Package tomlfile reads TOML files that people write: every mistake is told with its file and line,
// and a key that is not known with the nearest one that is.
package tomlfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"reflect"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"stopledger/cmd/internal/disk"
	"stopledger/cmd/internal/spelling"
)

// largest is the size from which a file is taken for something else: nobody writes so much.
const largest = 1 << 20 // bytes

// A File tells where the keys of a file stand.
type File struct {
	path  string
	lines map[string]int // by a key's parts, joined by separator
}

const separator = "\x00"

// Read reads a file into a struct, whose toml tags name the keys that are known.
func Read(path string, into any) (*File, error) {
	f, err := disk.Open(path)
	if err != nil {
		return nil, unread(path, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, largest+1))
	switch {
	case err != nil:
		return nil, unread(path, err)
	case len(data) > largest:
		return nil, fmt.Errorf("%s is larger than a megabyte: it is no file of settings", path)
	}
	return Decode(path, data, into)
}

// unread is an error of the file system, which names the file once.
func unread(path string, err error) error {
	var p *os.PathError
	if errors.As(err, &p) {
		return fmt.Errorf("%s cannot be read: %w", path, p.Err)
	}
	return fmt.Errorf("%s cannot be read: %w", path, err)
}

// Decode reads what a file of a path holds.
func Decode(path string, data []byte, into any) (*File, error) {
	f := &File{path: path, lines: map[string]int{}}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")) // editors put it there
	err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(into)
	var unknown *toml.StrictMissingError
	var mistake *toml.DecodeError
	switch {
	case errors.As(err, &unknown) && len(unknown.Errors) > 0:
		return nil, f.unknownKey(&unknown.Errors[0], into)
	case errors.As(err, &mistake):
		line, _ := mistake.Position()
		return nil, f.at(line, "%s", strings.TrimPrefix(mistake.Error(), "toml: "))
	case err != nil:
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	f.findLines(data)
	return f, nil
}

// Errorf is an error about a key, with its file and line.
func (f *File) Errorf(key []string, format string, args ...any) error {
	return f.at(f.Line(key...), format, args...)
}

// Line returns the line of a key, 0 where it is not in the file. Keys are matched without case where
// none has the same.
func (f *File) Line(key ...string) int {
	name := strings.Join(key, separator)
	if line := f.lines[name]; line > 0 {
		return line
	}
	return f.lines[strings.ToLower(name)]
}

func (f *File) at(line int, format string, args ...any) error {
	return fmt.Errorf("%s:%d: %w", f.path, line, fmt.Errorf(format, args...))
}

// unknownKey offers the nearest key.
func (f *File) unknownKey(e *toml.DecodeError, into any) error {
	line, _ := e.Position()
	key := e.Key()
	last := key[len(key)-1]
	words := fmt.Sprintf("there is no key %q", strings.Join(key, "."))
	names := keysOf(reflect.TypeOf(into))
	if near := spelling.Nearest(last, names); near != "" {
		return f.at(line, "%s; did you mean %s?", words, near)
	}
	return f.at(line, "%s; there are %s", words, strings.Join(names, ", "))
}

// keysOf lists the keys of a struct and of those in it, each once.
func keysOf(t reflect.Type) (names []string) {
	seen := map[string]bool{}
	var walk func(reflect.Type)
	walk = func(t reflect.Type) {
		switch t.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Map:
			walk(t.Elem())
		case reflect.Struct:
			for i := range t.NumField() {
				field := t.Field(i)
				if name := field.Tag.Get("toml"); name != "" && !seen[name] {
					seen[name] = true
					names = append(names, name)
				}
				walk(field.Type)
			}
		}
	}
	walk(t)
	return names
}

// findLines notes the line of each key; those of an inline table have its own.
func (f *File) findLines(data []byte) {
	var p unstable.Parser
	p.Reset(data)
	var table []string
	for p.NextExpression() {
		e := p.Expression()
		var key []string
		line := 0
		for parts := e.Key(); parts.Next(); {
			part := parts.Node()
			key = append(key, string(part.Data))
			if line == 0 {
				line = p.Shape(part.Raw).Start.Line
			}
		}
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = key
		case unstable.KeyValue:
			key = append(append([]string{}, table...), key...)
		}
		f.note(key, line)
		if e.Kind == unstable.KeyValue && e.Value().Kind == unstable.InlineTable {
			f.noteInline(&p, key, e.Value())
		}
	}
}

func (f *File) noteInline(p *unstable.Parser, table []string, value *unstable.Node) {
	for entries := value.Children(); entries.Next(); {
		key, line := append([]string{}, table...), 0
		for parts := entries.Node().Key(); parts.Next(); {
			key, line = append(key, string(parts.Node().Data)), p.Shape(parts.Node().Raw).Start.Line
		}
		f.note(key, line)
	}
}

// note notes the line of a key, and of the tables it stands in.
func (f *File) note(key []string, line int) {
	for n := 1; n <= len(key); n++ {
		name := strings.Join(key[:n], separator)
		for _, name := range []string{name, strings.ToLower(name)} {
			if f.lines[name] == 0 {
				f.lines[name] = line
			}
		}
	}
}
