// Package watch tells when clips that arrive in a folder are whole.
package watch

import (
	"context"
	"os"
	"time"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/card"
)

// A Watcher looks after a folder and those below. Where the system tells of changes it waits for
// them; where it does not, it looks from time to time.
type Watcher struct {
	Dir    string        // the folder
	Follow bool          // links met in folders
	Settle time.Duration // how long a clip must stay as it is to be taken as whole; 0 for 10 s
	Say    func(string)  // takes a sentence for the user: that changes are not told, that clips are gone

	// Poll is how long to wait between looks where changes are not told; 0 for 5 s.
	Poll time.Duration
	// Timeout is after how long a path that does not answer ends the watch; 0 for never.
	Timeout time.Duration
	open    func() (events, error) // but for tests, openEvents
}

// How long a clip must stay as it is, and how often a folder is looked at: common practice, no source.
const (
	settle = 10 * time.Second
	poll   = 5 * time.Second
)

// Each calls visit with the clips that are at rest, whenever one has come, changed or gone; what
// still grows is left out. It ends without an error when ctx does, and with the first error of visit,
// or of a path that does not answer.
// A folder without clips, as of a card that was taken out, is not visited.
func (w Watcher) Each(ctx context.Context, visit func(card.Listing) error) error {
	if w.Settle == 0 {
		w.Settle = settle
	}
	if w.Poll == 0 {
		w.Poll = poll
	}
	if w.open == nil {
		w.open = openEvents
	}
	n := notices{dir: w.Dir, poll: w.Poll, say: w.Say}
	n.begin(ctx, w.open)
	seen := newSightings(w.Settle)
	const parts = 10 // of the time in which a clip comes to rest
	for pause := time.Duration(0); n.wait(ctx, pause, w.Settle/parts); {
		n.spread()
		found, at, err := w.look(ctx, seen)
		switch {
		case ctx.Err() != nil:
			return nil
		case err != nil:
			return err
		case at.news && len(at.rest.Entries) > 0:
			if err := visit(at.rest); err != nil {
				return err
			}
			seen.visited(at.rest)
		case len(found.Entries) == 0 && seen.forget():
			w.Say("there is no clip in " + w.Dir + " any more: the report stays as it is")
		}
		pause = at.left
	}
	return nil
}

// look lists the folder and looks at what is in it; the error is of a path that does not answer.
func (w Watcher) look(ctx context.Context, seen *sightings) (card.Listing, looked, error) {
	found, err := w.find(ctx)
	if err != nil {
		return found, looked{}, err
	}
	at, err := audit.Patiently(ctx, w.Timeout, func(looking func(string)) (looked, error) {
		return seen.look(found, time.Now(), looking), nil
	})
	return found, at, err
}

// find lists the folder. One that is empty, or away, has nothing.
func (w Watcher) find(ctx context.Context) (card.Listing, error) {
	there, err := audit.Patiently(ctx, w.Timeout, func(looking func(string)) (bool, error) {
		looking(w.Dir)
		info, err := os.Stat(w.Dir)
		return err == nil && info.IsDir(), nil
	})
	if err != nil || !there {
		return card.Listing{}, err
	}
	found, err := audit.Find(ctx, w.Timeout, []string{w.Dir}, w.Follow)
	if err == nil && len(found.Entries) == 1 && found.Entries[0].Err != nil && found.Entries[0].Path == w.Dir {
		found.Entries = nil
	}
	return found, err
}
