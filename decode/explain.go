package decode

import (
	"errors"
	"strings"

	"github.com/asticode/go-astiav"
)

// What to do about a clip that cannot be read.
const (
	copyAgain = "copy it again from the card, and check that it plays"
	convert   = "convert the clip to ProRes, DNxHR or FFV1 first"
)

// explain turns an error from below into a *ClipError.
func (c *Clip) explain(err error) error {
	var done *ClipError
	var log *logged
	said := ""
	if errors.As(err, &log) {
		said = log.said
	}
	switch {
	case errors.As(err, &done):
		return err
	case errors.Is(err, ErrNoVideo):
		return fail(c.path, ErrNoVideo, nil, "there is no video in the file", "name a clip with a picture")
	case errors.Is(err, ErrEmpty):
		return fail(c.path, ErrEmpty, nil,
			"there is not one frame in the file: it is cut off, or its picture is kept in another file", copyAgain)
	case errors.Is(err, ErrUnsupported):
		what := strings.Replace(err.Error(), ErrUnsupported.Error()+": ", "", 1)
		return fail(c.path, ErrUnsupported, err, "what is in the file is not supported ("+what+")", convert)
	case strings.Contains(said, "whitelist"):
		return fail(c.path, ErrUnsupported, err,
			"this kind of file is not read: no camera or recorder writes clips in it", convert)
	case strings.Contains(said, "moov atom not found"):
		return fail(c.path, ErrDamaged, err,
			"the file has no index (moov): the recording or a copy was cut off, or it is no clip", copyAgain)
	case errors.Is(err, astiav.ErrInvaliddata), errors.Is(err, astiav.ErrEof), errors.Is(err,
		astiav.ErrEio), errors.Is(err, ErrDamaged):
		return fail(c.path, ErrDamaged, err, "the file is cut off, damaged or not a clip", copyAgain)
	}
	return fail(c.path, ErrUnsupported, err, "the file cannot be read ("+err.Error()+")", convert)
}
