package main

import (
	"regexp"
	"runtime/debug"
	"testing"
)

// semantic is the grammar of a version at semver.org (2.0.0, as its FAQ gives it).
var semantic = regexp.MustCompile(`^(0|[1-9]\d*)\.(0|[1-9]\d*)\.(0|[1-9]\d*)` +
	`(?:-((?:0|[1-9]\d*|\d*[a-zA-Z-][0-9a-zA-Z-]*)(?:\.(?:0|[1-9]\d*|\d*[a-zA-Z-][0-9a-zA-Z-]*))*))?` +
	`(?:\+([0-9a-zA-Z-]+(?:\.[0-9a-zA-Z-]+)*))?$`)

// Whatever go build knows, the version is a semantic one; only a tag makes a release.
func TestVersionOfABuild(t *testing.T) {
	commit := []debug.BuildSetting{{Key: "vcs.revision", Value: "0123456789abcdef0123456789abcdef01234567"}}
	changed := append(commit[:1:1], debug.BuildSetting{Key: "vcs.modified", Value: "true"})
	for _, c := range []struct {
		module   string
		settings []debug.BuildSetting
		want     string
	}{
		{"v0.3.0", commit, "0.3.0"},
		{"v1.0.0-rc.1", commit, "1.0.0-rc.1"},
		{"v0.3.0+dirty", changed, upcoming + "-dev+0123456789ab.modified"},
		{"v0.0.0-20261128230143-0123456789ab", commit, upcoming + "-dev+0123456789ab"},
		{"v0.2.1-0.20261128230143-0123456789ab", commit, upcoming + "-dev+0123456789ab"},
		{"(devel)", nil, upcoming + "-dev"},
		{"", nil, upcoming + "-dev"},
	} {
		info := &debug.BuildInfo{Main: debug.Module{Version: c.module}, Settings: c.settings}
		if got := built(info); got != c.want || !semantic.MatchString(got) {
			t.Errorf("%+v: %s, want %s", c, got, c.want)
		}
	}
	if !semantic.MatchString(version()) {
		t.Errorf("this program's is %s", version())
	}
}
