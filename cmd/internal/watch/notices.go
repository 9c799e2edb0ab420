package watch

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/fsnotify/fsnotify"
)

// events are what the system tells of changes in folders.
type events struct {
	*fsnotify.Watcher
}

func openEvents() (events, error) {
	w, err := fsnotify.NewWatcher()
	return events{w}, err
}

// notices are told that something may have changed.
type notices struct {
	dir  string
	poll time.Duration // between looks where changes are not told
	say  func(string)
	from events // without a watcher where changes are not told
	came chan struct{}
	away bool // the folder is not there, and nobody tells when it comes
}

// begin begins to take what the system tells, until ctx ends.
func (n *notices) begin(ctx context.Context, open func() (events, error)) {
	n.came = make(chan struct{}, 1)
	from, err := open()
	if err != nil {
		n.fallBack("the system tells of no changes (" + err.Error() + ")")
		return
	}
	n.from = from
	go n.take(ctx, from)
}

// take notes that there were events, or that some were lost, until the source is closed.
func (n *notices) take(ctx context.Context, from events) {
	defer from.Close()
	for ctx.Err() == nil {
		select {
		case <-ctx.Done():
			return
		case _, open := <-from.Events:
			if !open {
				return
			}
		case _, open := <-from.Errors:
			if !open {
				return
			}
		}
		select {
		case n.came <- struct{}{}:
		default: // there is a notice already
		}
	}
}

// fallBack goes on without being told of changes.
func (n *notices) fallBack(why string) {
	if n.from.Watcher != nil {
		n.from.Close()
		n.from.Watcher = nil
	}
	n.say(why + ": looking at " + n.dir + " every " + n.poll.String())
}

// spread asks to be told of all folders that are there by now. A folder that comes later is told of by
// the one above it.
func (n *notices) spread() {
	if n.from.Watcher == nil {
		return
	}
	known := map[string]bool{}
	for _, path := range n.from.WatchList() {
		known[path] = true
	}
	_, err := os.Stat(n.dir)
	n.away = err != nil
	err = filepath.WalkDir(n.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() || known[path] {
			return nil // what cannot be read is told of by who measures it
		}
		if kind := network(path); kind != "" {
			return errors.New(path + " is on a network file system (" + kind + "), which does not tell of all changes")
		}
		if err := n.from.Add(path); err != nil && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, fs.ErrPermission) {
			return errors.New("the system tells of no more changes (" + err.Error() + ")")
		}
		return nil
	})
	if err != nil {
		n.fallBack(err.Error())
	}
}

// safety is the time between looks where changes are told: on some file systems not all are. Common
// practice, no source.
const safety = time.Minute

// every is the time between looks.
func (n *notices) every() time.Duration {
	if n.from.Watcher == nil || n.away {
		return n.poll
	}
	return safety
}

// wait waits until a notice has come or a time has passed. After a notice it waits a little, as more
// will come. It reports false when ctx ended.
func (n *notices) wait(ctx context.Context, longest, little time.Duration) bool {
	longest = min(longest, n.every())
	select {
	case <-ctx.Done():
	case <-time.After(longest):
	case <-n.came:
		select {
		case <-ctx.Done():
		case <-time.After(min(longest, little)):
		}
	}
	return ctx.Err() == nil
}
