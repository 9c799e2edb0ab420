package worker

import (
	"errors"
	"os"
	"os/exec"
	"runtime"
	"strconv"
	"time"
)

// A Config says how workers are run.
type Config struct {
	Command  func() *exec.Cmd // that starts a worker, whose main calls Serve
	Most     int              // processes at a time
	Memory   int64            // bytes that the jobs of all may need together
	Timeout  time.Duration    // without progress, after which a lease's work is given up
	Confined Confinement      // what workers may touch
}

// Ourselves returns a command that runs the running program with these arguments.
func Ourselves(args ...string) func() *exec.Cmd {
	return func() *exec.Cmd {
		path, err := ourselves()
		cmd := &exec.Cmd{Path: path, Args: append([]string{os.Args[0]}, args...), Err: err}
		// A confined worker cannot ask the system how many processors it may use.
		cmd.Env = append(os.Environ(), "GOMAXPROCS="+strconv.Itoa(runtime.GOMAXPROCS(0)))
		return cmd
	}
}

// ourselves is the path of the running program, also when its file was replaced since.
func ourselves() (string, error) {
	const running = "/proc/self/exe"
	if _, err := os.Stat(running); err == nil {
		return running, nil
	}
	path, err := os.Executable()
	if err != nil {
		return "", errors.New("the program's own file is not known")
	}
	return path, nil
}
