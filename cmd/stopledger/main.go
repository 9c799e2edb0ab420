// Stopledger audits the exposure of footage recorded with a camera log curve: where 18 % grey
// landed, how noisy the shadows are, what clipped, and how far to pull or lift before the
// display transform.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"regexp"
	"runtime/debug"
	"syscall"
	"time"

	"stopledger/cmd/internal/audit"
	"stopledger/cmd/internal/config"
	"stopledger/cmd/internal/disk"
	"stopledger/cmd/internal/terminal"
)

// upcoming is the release that this source becomes.
const upcoming = "0.2.0"

// released is the version of a release: -ldflags "-X main.released=0.2.0" sets it.
var released string

// version is what every document says: that of a release, or what go build knows.
func version() string {
	if released != "" {
		return released
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		info = &debug.BuildInfo{}
	}
	return built(info)
}

// tagged are the versions of tags, as Go names them; what it makes up for other commits is no such.
var tagged = regexp.MustCompile(`^v([0-9]+\.[0-9]+\.[0-9]+(?:-[a-z]+\.[0-9]+)?)$`)

// built is the version of a build (Semantic Versioning 2.0.0): its tag, or a pre-release of the upcoming one
// with the commit, and "modified" where files differed from it.
func built(info *debug.BuildInfo) string {
	if tag := tagged.FindStringSubmatch(info.Main.Version); tag != nil {
		return tag[1]
	}
	says := map[string]string{}
	for _, s := range info.Settings {
		says[s.Key] = s.Value
	}
	v := upcoming + "-dev"
	if commit := says["vcs.revision"]; commit != "" {
		v += "+" + commit[:min(len(commit), 12)]
		if says["vcs.modified"] == "true" {
			v += ".modified"
		}
	}
	return v
}

// An app is the program with everything it touches.
type app struct {
	measure        audit.Measurer // nil for worker processes
	version        string
	config         string                                     // path of the user's own defaults; "" for none
	free           func(dir string) (bytes int64, known bool) // room on a disk; nil for not known
	settle         time.Duration                              // of watch; 0 for its own
	stdout, stderr io.Writer
}

func main() {
	// Frames lie outside Go's heap: a small heap leaves room for them.
	debug.SetGCPercent(30)
	if len(os.Args) == 2 && os.Args[1] == workerVerb {
		os.Exit(audit.Work(os.Stdin, os.Stdout))
	}
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	ctx, stop := terminal.Interruptible(context.Background(), signals, func() { os.Exit(exitInterrupted) })
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// workerVerb makes this program one of the processes that measure clips for another. It is no command
// for people.
const workerVerb = "_worker"

// run is the program: it returns the exit code and touches nothing but what it is given, the
// clips it is told of and the folder it writes.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	a := app{version: version(), config: config.Path(), free: disk.Free, stdout: stdout, stderr: stderr}
	return a.run(ctx, args)
}
