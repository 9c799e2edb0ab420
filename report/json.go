package report

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io"
)

// WriteJSON writes an audit as one JSON value, indented, with a newline at its end. Each
// quantity's type rounds it, so that another processor's last bit does not change the file; what
// is not finite is null, and a list without entries is [].
func WriteJSON(w io.Writer, doc *Document) error {
	whole := *doc
	whole.Settings.Lifts = listed(doc.Settings.Lifts)
	whole.Settings.Regions = listed(doc.Settings.Regions)
	whole.Clips, whole.Failed = []Clip{}, listed(doc.Failed)
	whole.NotReached, whole.Skipped = listed(doc.NotReached), listed(doc.Skipped)
	var around bytes.Buffer
	if err := writeJSON(&around, &whole); err != nil {
		return err
	}
	// Within a text a line's end is escaped, so this is the document's own list of clips.
	const begin, end = "\n  \"clips\": [", "]"
	before, after, _ := bytes.Cut(around.Bytes(), []byte(begin+end))
	out := &joined{w: w}
	out.write(before, []byte(begin))
	clips := 0
	err := doc.EachClip(func(_ int, c *Clip) error {
		if clips++; clips > 1 {
			out.write([]byte(","))
		}
		b, err := marshalClip(c)
		out.write([]byte("\n    "), b)
		return cmp.Or(err, out.err)
	})
	if clips > 0 {
		out.write([]byte("\n  "))
	}
	out.write([]byte(end), after)
	return cmp.Or(err, out.err)
}

// marshalClip returns a clip as it stands in the list of a document.
func marshalClip(c *Clip) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("    ", "  ")
	whole := listedClips([]Clip{*c})
	err := e.Encode(&whole[0])
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}

// joined writes pieces, and keeps the first error.
type joined struct {
	w   io.Writer
	err error
}

func (j *joined) write(pieces ...[]byte) {
	for _, p := range pieces {
		if j.err == nil {
			_, j.err = j.w.Write(p)
		}
	}
}

// WriteComparisonJSON writes a comparison as WriteJSON writes an audit.
func WriteComparisonJSON(w io.Writer, c *Comparison) error {
	whole := *c
	whole.Settings.Lifts = listed(c.Settings.Lifts)
	whole.Settings.Regions = listed(c.Settings.Regions)
	whole.Clips, whole.Takes, whole.Failed = listedClips(c.Clips), listed(c.Takes), listed(c.Failed)
	return writeJSON(w, &whole)
}

// ReadJSON reads a document that WriteJSON wrote, perhaps by a later version: fields it does not
// know are passed over. One of schema 1 is brought up to this one.
func ReadJSON(r io.Reader) (*Document, error) {
	doc := &Document{}
	if err := json.NewDecoder(bufio.NewReader(r)).Decode(doc); err != nil {
		return nil, fmt.Errorf("this is not an audit in JSON: %w", err)
	}
	if doc.Schema == Schema1 {
		doc.upgrade()
	}
	return doc, checkSchema(doc.Schema, Schema)
}

// Outline reads of a document that WriteJSON wrote what it is, whether its run was not interrupted, and how
// many clips it has. It holds one clip at a time.
func Outline(r io.Reader) (schema string, complete bool, clips int, err error) {
	d := json.NewDecoder(bufio.NewReader(r))
	if _, err := d.Token(); err != nil {
		return "", false, 0, err
	}
	for d.More() {
		name, err := d.Token()
		var passed json.RawMessage
		switch {
		case err != nil:
		case name == "schema":
			err = d.Decode(&schema)
		case name == "complete":
			err = d.Decode(&complete)
		case name == "clips":
			clips, err = entries(d)
		default:
			err = d.Decode(&passed)
		}
		if err != nil {
			return "", false, 0, err
		}
	}
	_, err = d.Token()
	return schema, complete, clips, err
}

// entries counts those of a list.
func entries(d *json.Decoder) (n int, err error) {
	if _, err = d.Token(); err != nil {
		return 0, err
	}
	for d.More() {
		var passed json.RawMessage
		if err := d.Decode(&passed); err != nil {
			return 0, err
		}
		n++
	}
	_, err = d.Token()
	return n, err
}

// ReadComparisonJSON reads a document that WriteComparisonJSON wrote, as ReadJSON reads an audit.
func ReadComparisonJSON(r io.Reader) (*Comparison, error) {
	c := &Comparison{}
	if err := json.NewDecoder(bufio.NewReader(r)).Decode(c); err != nil {
		return nil, fmt.Errorf("this is not a comparison in JSON: %w", err)
	}
	return c, checkSchema(c.Schema, CompareSchema)
}

func checkSchema(got, want string) error {
	if got != want {
		return fmt.Errorf("this is of schema %q; wanted %q", got, want)
	}
	return nil
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// listed returns a list that is written as [] where it has no entries, so that a reader may walk
// it without looking.
func listed[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// named is listed for a map, which is then written as {}.
func named[T any](m map[string]T) map[string]T {
	if m == nil {
		return map[string]T{}
	}
	return m
}

func listedClips(clips []Clip) []Clip {
	out := make([]Clip, len(clips))
	for i, c := range clips {
		c.Parts = listed(c.Parts)
		c.Noise.Tones, c.Noise.Channels = listed(c.Noise.Tones), listed(c.Noise.Channels)
		c.Noise.Graded, c.Noise.Causes = listed(c.Noise.Graded), listed(c.Noise.Causes)
		c.Noise.Codec.ByPicture = named(c.Noise.Codec.ByPicture)
		c.Highlights.Areas = listed(c.Highlights.Areas)
		c.Highlights.Channels, c.Highlights.Each = named(c.Highlights.Channels), named(c.Highlights.Each)
		c.Advice.Findings, c.Advice.Next.For = listed(c.Advice.Findings), listed(c.Advice.Next.For)
		c.Advice.Rules = listed(c.Advice.Rules)
		c.Histogram.Shares, c.Over = listed(c.Histogram.Shares), listed(c.Over)
		if p := c.Placement; p != nil {
			whole := *p
			whole.Series, whole.Candidates = listed(p.Series), listed(p.Candidates)
			c.Placement = &whole
		}
		if p := c.Pictures; p != nil {
			whole := *p
			whole.Strips = listed(p.Strips)
			c.Pictures = &whole
		}
		out[i] = c
	}
	return out
}

// Rounded returns a copy of the document with every quantity rounded as its type writes it: what
// is printed or drawn of it is the same as of the document once it was written and read. Clips that
// it does not hold are left out.
func (d *Document) Rounded() (*Document, error) {
	head, out := *d, &Document{}
	head.Clips = nil
	if err := round(&head, out); err != nil || d.Clips == nil {
		return out, err
	}
	out.Clips = make([]Clip, len(d.Clips))
	for i := range d.Clips { // one by one: they may be thousands
		if err := round(&d.Clips[i], &out.Clips[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Rounded returns a copy of the clip as Document.Rounded does.
func (c *Clip) Rounded() (*Clip, error) {
	out := &Clip{}
	return out, round(c, out)
}

// Rounded returns a copy of the comparison as Document.Rounded does.
func (c *Comparison) Rounded() (*Comparison, error) {
	out := &Comparison{}
	return out, round(c, out)
}

// round takes a document through the marshalling of its types, which alone know their digits.
func round(from, to any) error {
	b, err := json.Marshal(from)
	if err != nil {
		return fmt.Errorf("numbers of the document cannot be rounded: %w", err)
	}
	if err := json.Unmarshal(b, to); err != nil {
		return fmt.Errorf("numbers of the document cannot be rounded: %w", err)
	}
	return nil
}
