package worker

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/landlock-lsm/go-landlock/landlock"
	llsyscall "github.com/landlock-lsm/go-landlock/landlock/syscall"
	"golang.org/x/sys/unix"
)

// Confines says how this system confines processes; "" where it cannot.
func Confines() string {
	if abi, err := llsyscall.LandlockGetABIVersion(); err == nil && abi > 0 {
		return fmt.Sprintf("Landlock, ABI %d", abi)
	}
	return ""
}

// start starts a command confined, where the kernel has Landlock. A domain is a thread's and passes
// to what it starts: so a thread of its own takes it on, starts the process, and ends.
func (c Confinement) start(cmd *exec.Cmd) error {
	if c.Read == nil || Confines() == "" {
		return cmd.Start()
	}
	started := make(chan error, 1)
	go func() {
		runtime.LockOSThread() // and never unlocked: the thread ends with this function
		if err := c.restrict(cmd.Path); err != nil {
			started <- err
			return
		}
		started <- cmd.Start()
	}()
	return <-started
}

// restrict takes rights from this thread for good.
func (c Confinement) restrict(program string) error {
	rules := []landlock.Rule{landlock.ROFiles(loaded(program)...).IgnoreIfMissing()}
	for _, path := range c.Read {
		var rights landlock.AccessFSSet = llsyscall.AccessFSReadFile
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			rights |= llsyscall.AccessFSReadDir
		}
		rules = append(rules, landlock.PathAccess(rights, path).IgnoreIfMissing())
	}
	ruleset, flags, err := landlock.V6.BestEffort().NewRulesetFD(rules...)
	if err != nil || ruleset < 0 {
		return err
	}
	defer unix.Close(ruleset)
	if err := unix.Prctl(unix.PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0); err != nil {
		return err
	}
	return llsyscall.LandlockRestrictSelf(ruleset, flags)
}

// loaded returns the files that the program is made of: itself, the loader with its list, and every
// library that is in memory now.
func loaded(program string) []string {
	files := []string{program, "/etc/ld.so.cache"}
	maps, err := os.Open("/proc/self/maps")
	if err != nil {
		return files
	}
	defer maps.Close()
	seen := map[string]bool{}
	for lines := bufio.NewScanner(maps); lines.Scan(); {
		_, path, _ := strings.Cut(lines.Text(), "/")
		if path = "/" + path; path != "/" && !seen[path] && filepath.IsAbs(path) {
			seen[path] = true
			files = append(files, path)
		}
	}
	return files
}
