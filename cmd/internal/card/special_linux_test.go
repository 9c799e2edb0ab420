package card

import (
	"slices"
	"testing"

	"golang.org/x/sys/unix"
)

func TestPipesAreNoClips(t *testing.T) {
	inFolder(t, "day/a.mov")
	if err := unix.Mkfifo("day/pipe.mov", 0o644); err != nil {
		t.Skip(err)
	}
	if got := names(find(t, "day").Entries); !slices.Equal(got, []string{"day/a.mov"}) {
		t.Errorf("got %q", got)
	}
}
