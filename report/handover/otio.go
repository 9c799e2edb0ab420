package handover

import (
	"encoding/json"
	"io"
	"net/url"
	"path/filepath"
	"strings"

	"stopledger/curve"
	"stopledger/report"
)

// object is an OpenTimelineIO object; its OTIO_SCHEMA tells what it is.
type object map[string]any

// writeOTIO writes a timeline (OpenTimelineIO JSON) of clips, one after the other, each with its CDL as the
// project's reader of edit lists keeps it, under cdl of its metadata.
func writeOTIO(w io.Writer, clips []listed, d curve.Domain, by report.Tool) error {
	children := make([]object, len(clips))
	for i, c := range clips {
		children[i] = clipObject(c, d)
	}
	track := object{"OTIO_SCHEMA": "Track.1", "name": "V1", "kind": "Video", "metadata": object{},
		"source_range": nil, "effects": []any{}, "markers": []any{}, "enabled": true, "children": children}
	stack := object{"OTIO_SCHEMA": "Stack.1", "name": "tracks", "metadata": object{}, "source_range": nil,
		"effects": []any{}, "markers": []any{}, "enabled": true, "children": []object{track}}
	timeline := object{"OTIO_SCHEMA": "Timeline.1", "name": "exposure, " + string(d) + " domain",
		"metadata":          object{"stopledger": object{"version": by.Version, "domain": string(d)}},
		"global_start_time": nil, "tracks": stack}
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	e.SetEscapeHTML(false)
	return e.Encode(timeline)
}

func clipObject(c listed, d curve.Domain) object {
	o, p := c.order, placeOf(&c.order.Clip)
	told := object{"stops": o.Stops, "curve": o.Reading.Curve.Name, "domain": string(d), "id": c.stem,
		"path": o.Clip.Path}
	meta := object{"stopledger": told}
	if c.cdl != nil {
		one, v := [3]float64{1, 1, 1}, c.cdl.offset
		told["worst_error_stops"], told["values"] = c.cdl.Worst, c.cdl.values()
		meta["cdl"] = object{"asc_sat": 1.0,
			"asc_sop": object{"slope": one, "offset": [3]float64{v, v, v}, "power": one}}
	}
	rate := p.rate / float64(p.every)
	time := func(frames int) object {
		return object{"OTIO_SCHEMA": "RationalTime.1", "rate": rate, "value": float64(frames)}
	}
	span := object{"OTIO_SCHEMA": "TimeRange.1", "start_time": time(p.from), "duration": time(p.frames)}
	media := object{"OTIO_SCHEMA": "ExternalReference.1", "name": "", "metadata": object{}, "available_range": span,
		"available_image_bounds": nil, "target_url": urlOf(o.Clip.Path)}
	return object{"OTIO_SCHEMA": "Clip.2", "name": report.ClipName(o.Clip.Path), "effects": []any{},
		"markers": []any{}, "enabled": true, "source_range": span, "metadata": meta,
		"active_media_reference_key": "DEFAULT_MEDIA", "media_references": object{"DEFAULT_MEDIA": media}}
}

// urlOf is a path as a URL; one that is not whole stays so.
func urlOf(path string) string {
	u := url.URL{Path: filepath.ToSlash(path)}
	if strings.HasPrefix(u.Path, "/") {
		u.Scheme = "file"
	}
	return u.String()
}
