package card

import (
	"os"

	"stopledger/report"
)

// link lists a link met in a folder, or keeps it for followLinks.
func (w *walker) link(path string) (met bool) {
	if w.follow {
		w.links = append(w.links, link{w.root, path})
		return true
	}
	w.skip(path, report.SkipLink, "a link; --follow follows it")
	return false
}

// followLinks lists what links lead to, and the links found there, and reports whether there were
// any. Everything else is listed already, so that a clip is listed by its own path where it has one
// that was asked for, and a loop ends at once.
func (w *walker) followLinks() (any bool) {
	for ; len(w.links) > 0 && w.ctx.Err() == nil; any = true {
		l := w.links[0]
		w.links = w.links[1:]
		w.root = l.root
		w.followLink(l.path)
	}
	return any
}

func (w *walker) followLink(path string) {
	w.looking(path)
	info, err := os.Stat(path)
	switch {
	case err != nil && isClipName(path):
		w.fail(path, "the link leads nowhere ("+cause(err)+")", "mend the link, or take it away")
	case err != nil:
		w.skip(path, report.SkipLink, "a link that leads nowhere ("+cause(err)+")")
	case info.IsDir():
		w.subfolder(path, realPath(path))
	case !info.Mode().IsRegular():
		w.skip(path, report.SkipSpecial, "a link to a pipe, socket or device")
	case !isClipName(path):
		w.add(item{path: path, listed: true, skip: notRead(path)})
	default:
		if w.isNew(path, realPath(path)) && w.isOnly(path, info) {
			w.add(item{path: path, listed: true, size: info.Size(), entry: newClip(path)})
		}
	}
}
