package main

import (
	"context"
	"encoding/json"
	"io"
)

// curves lists the curves or prints one.
func (a app) curves(_ context.Context, args []string) error {
	o, err := curvesFlags(args, a.stdout)
	if err != nil {
		return err
	}
	if o.name == "" {
		list, err := curveList(o)
		if err != nil {
			return err
		}
		return write(a.stdout, o.format, list, curvesText, curvesCSV)
	}
	c, err := findCurve(o.name)
	if err == nil && o.ei != 0 {
		c, err = c.WithIndex(o.ei)
	}
	if err != nil {
		return &usageError{verb: "curves", text: err.Error(), err: err}
	}
	return write(a.stdout, o.format, newLadder(c, o), ladderText, ladderCSV)
}

// write prints what was found in the format asked for.
func write[T any](w io.Writer, as format, what T, asText, asCSV func(io.Writer, T) error) error {
	switch as {
	case inJSON:
		e := json.NewEncoder(w)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return e.Encode(what)
	case inCSV:
		return asCSV(w, what)
	}
	return asText(w, what)
}
