package bundle

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
)

// A system is what cmd/setup finds: stand-ins of the programs that it asks.
type system struct {
	release   string // of /etc/os-release
	kernel    string // uname -s
	machine   string // uname -m
	apt       string // version of libavcodec-dev that apt offers, where its packages are not there yet; "" without apt
	installed bool   // all packages are
	avcodec   string // libavcodec's version by pkg-config; "" without
}

// programs fills a folder with the tools that a shell script has, and with the stand-ins.
func (s system) programs(t *testing.T, bin string) {
	t.Helper()
	for _, tool := range []string{"bash", "env", "dirname", "rm", "grep", "cat", "id", "sed"} {
		path, err := exec.LookPath(tool)
		if err == nil {
			err = os.Symlink(path, filepath.Join(bin, tool))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	scripts := map[string]string{"go": "", "uname": fmt.Sprintf("[ $1 = -m ] && echo %s || echo %s", s.machine, s.kernel)}
	if s.avcodec != "" {
		scripts["pkg-config"] = "[ $1 != --modversion ] || echo " + s.avcodec
	}
	if s.installed {
		scripts["gcc"], scripts["ffmpeg"], scripts["chromium"], scripts["python3"] = "", "", "", ""
	}
	if s.apt != "" {
		scripts["apt-get"] = "echo installed by apt >&2"
		scripts["apt-cache"] = "echo Package: libavcodec-dev; echo Version: " + s.apt
		scripts["dpkg-query"] = map[bool]string{true: "printf installed", false: "exit 1"}[s.installed]
	}
	for tool, script := range scripts {
		path := filepath.Join(bin, tool)
		build.WriteFile(t, path, []byte("#!"+filepath.Join(bin, "bash")+"\n"+script+"\n"))
		if err := os.Chmod(path, 0o755); err != nil {
			t.Fatal(err)
		}
	}
}

// setUp runs the script setup in a folder of its own, with only these programs in PATH. It returns the exit
// code, what is said, and the go.work that is there then.
func (s system) setUp(t *testing.T, setup []byte) (code int, says, work string) {
	t.Helper()
	t.Chdir(t.TempDir())
	for _, folder := range []string{"bin", "cmd"} {
		if err := os.Mkdir(folder, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	bin, err := filepath.Abs("bin")
	if err != nil {
		t.Fatal(err)
	}
	s.programs(t, bin)
	build.WriteFile(t, "cmd/setup", setup)
	build.WriteFile(t, "go.mod", []byte("module m\n\ngo 1.26.8\n"))
	build.WriteFile(t, "go.work", []byte("of an earlier system\n"))
	cmd := exec.Command(filepath.Join(bin, "bash"), "cmd/setup")
	cmd.Env = []string{"PATH=" + bin, "OS_RELEASE=" + filepath.Join(filepath.Dir(bin), "release")}
	if s.release != "" {
		build.WriteFile(t, "release", []byte(s.release))
	}
	out, err := cmd.CombinedOutput()
	if cmd.ProcessState == nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("go.work")
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	return cmd.ProcessState.ExitCode(), string(out), string(text)
}

const replaced = "replace github.com/asticode/go-astiav => github.com/asticode/go-astiav "

// What setup does and says on systems that were tried, were not, and cannot work. Versions of libavcodec are
// those of FFmpeg's releases (its doc/APIchanges): 59 of 5, 60 of 6, 61 of 7, 62 of 8.
func TestSystems(t *testing.T) {
	setup := build.ReadFile(t, "../setup")
	for name, c := range map[string]struct {
		system
		code int
		says []string
		not  string
		work string // go.work has it; "" for none
	}{
		"Debian 12": {system{"ID=debian\nVERSION_ID=\"12\"\n", "Linux", "x86_64", "7:5.1.9-0+deb12u1", true, "59.37.100"},
			0, nil, "setup", ""},
		"Debian 13": {system{"ID=debian\nVERSION_ID=\"13\"\n", "Linux", "x86_64", "7:7.1.5-0+deb13u1", true, "61.19.101"},
			0, []string{"go-astiav v0.39.0"}, "not", "go 1.26.8\n\nuse .\n\n" + replaced + "v0.39.0\n"},
		"Debian 13, new": {system{"ID=debian\nVERSION_ID=13\n", "Linux", "x86_64", "7:7.1.5-0+deb13u1", false, "61.19.101"},
			0, []string{"installing gcc", "installed by apt", "v0.39.0"}, "not", replaced + "v0.39.0"},
		"Debian 13 on arm64": {system{"ID=debian\nVERSION_ID=13\n", "Linux", "aarch64", "7:7.1.5-0", true, "61.19.101"},
			0, []string{"debian 13 on aarch64 was not"}, "macOS", replaced + "v0.39.0"},
		"Ubuntu 24.04": {system{"ID=ubuntu\nVERSION_ID=\"24.04\"\n", "Linux", "x86_64", "7:6.1.1-3ubuntu5", false, ""},
			1, []string{"FFmpeg 6", "nothing was installed", "the bundle brings its own"}, "by apt", "earlier"},
		"Ubuntu 24.04 with FFmpeg's files": {
			system{"ID=ubuntu\nVERSION_ID=\"24.04\"\n", "Linux", "x86_64", "7:6.1.1-3ubuntu5", true, "60.31.102"},
			1, []string{"no Go binding for FFmpeg 6 (libavcodec 60.31.102)", "the bundle"}, "by apt", "earlier"},
		"Fedora, new": {system{"ID=fedora\nVERSION_ID=43\n", "Linux", "x86_64", "", false, ""},
			1, []string{"no apt", "gcc pkg-config ffmpeg", "dnf install", "Neither was tried"}, "", "earlier"},
		"Fedora": {system{"ID=fedora\nVERSION_ID=43\n", "Linux", "x86_64", "", true, "61.19.101"},
			0, []string{"v0.39.0", "fedora 43 on x86_64 was not"}, "macOS", replaced + "v0.39.0"},
		"Homebrew": {system{"", "Darwin", "arm64", "", true, "62.11.100"},
			0, []string{"FFmpeg 8 was not tried", "Darwin on arm64 was not", "not confined"}, "", replaced + "v0.41.0"},
		"FFmpeg 9": {system{"ID=debian\nVERSION_ID=14\n", "Linux", "x86_64", "7:9.0.2-1", true, "63.1.100"},
			1, []string{"FFmpeg 9 and later (libavcodec 63.1.100)"}, "", "earlier"},
		"Debian 11": {system{"ID=debian\nVERSION_ID=11\n", "Linux", "x86_64", "7:4.3.9-0+deb11u1", true, "58.91.100"},
			1, []string{"too old (libavcodec 58.91.100)"}, "", "earlier"},
	} {
		t.Run(name, func(t *testing.T) {
			code, says, work := c.setUp(t, setup)
			if code != c.code || c.work == "" && work != "" || !strings.Contains(work, c.work) {
				t.Errorf("exit code %d, go.work %q; it says\n%s", code, work, says)
			}
			for _, want := range c.says {
				if !strings.Contains(says, want) {
					t.Errorf("it does not say %q:\n%s", want, says)
				}
			}
			if c.not != "" && strings.Contains(says, c.not) {
				t.Errorf("it says %q:\n%s", c.not, says)
			}
		})
	}
}
