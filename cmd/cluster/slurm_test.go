package cluster

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	_ "github.com/mattn/go-sqlite3"

	"stopledger/curve"
	"stopledger/decode/geometry"
	"stopledger/decode/synth"
)

// A cluster of one node, with daemons of its own below a folder: nothing of the system's is touched.
type cluster struct {
	t   *testing.T
	dir string
}

const slurmConf = `ClusterName=one
SlurmctldHost=%[2]s(127.0.0.1)
SlurmUser=root
AuthType=auth/munge
AuthInfo=socket=%[1]s/munge.socket
SlurmctldPort=16817
SlurmdPort=16818
SlurmctldPidFile=%[1]s/slurmctld.pid
SlurmdPidFile=%[1]s/slurmd.pid
StateSaveLocation=%[1]s/state
SlurmdSpoolDir=%[1]s/spool
SlurmctldLogFile=%[1]s/slurmctld.log
SlurmdLogFile=%[1]s/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
MpiDefault=none
ReturnToService=2
MinJobAge=3600
NodeName=%[2]s NodeAddr=127.0.0.1 CPUs=2 RealMemory=9000 State=UNKNOWN
PartitionName=clips Nodes=%[2]s Default=YES MaxTime=INFINITE State=UP
`

// start starts the daemons in the foreground, as children that end with the test.
func start(t *testing.T) cluster {
	t.Helper()
	host, _, _ := strings.Cut(must(os.Hostname())(t), ".")
	c := cluster{t, t.TempDir()}
	for _, folder := range []string{"state", "spool"} {
		check(t, os.Mkdir(filepath.Join(c.dir, folder), 0o755))
	}
	conf, key := filepath.Join(c.dir, "slurm.conf"), filepath.Join(c.dir, "munge.key")
	check(t, os.WriteFile(conf, fmt.Appendf(nil, slurmConf, c.dir, host), 0o644))
	check(t, os.WriteFile(key, bytes.Repeat([]byte("a key of this test alone "), 6), 0o600))
	t.Setenv("SLURM_CONF", conf)
	c.daemon("munged", "--foreground", "--force", "--key-file="+key, "--socket="+c.dir+"/munge.socket",
		"--pid-file="+c.dir+"/munge.pid", "--log-file="+c.dir+"/munge.log", "--seed-file="+c.dir+"/munge.seed")
	c.until("munged answers", time.Minute, func() bool {
		_, err := os.Stat(c.dir + "/munge.socket")
		return err == nil
	})
	c.daemon("slurmctld", "-D", "-f", conf)
	c.daemon("slurmd", "-D", "-f", conf, "-N", host)
	c.until("the node is idle", time.Minute, func() bool {
		out, err := exec.Command("sinfo", "--noheader", "--format=%T").Output()
		return err == nil && strings.TrimSpace(string(out)) == "idle"
	})
	return c
}

func (c cluster) daemon(name string, args ...string) {
	c.t.Helper()
	d := exec.Command(name, args...)
	check(c.t, d.Start())
	c.t.Cleanup(func() {
		if c.t.Failed() {
			log, _ := os.ReadFile(filepath.Join(c.dir, name+".log"))
			c.t.Logf("%s: %s", name, log[max(0, len(log)-4000):])
		}
		_ = d.Process.Signal(syscall.SIGTERM)
		_ = d.Wait()
	})
}

// until waits for something.
func (c cluster) until(what string, atMost time.Duration, is func() bool) {
	c.t.Helper()
	for end := time.Now().Add(atMost); !is(); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			c.t.Fatalf("after %v it is not so that %s\n%s", atMost, what, c.say("squeue", "--array"))
		}
	}
}

// say runs a program and returns what it prints.
func (c cluster) say(name string, args ...string) string {
	c.t.Helper()
	out, err := exec.Command(name, args...).Output()
	var failed *exec.ExitError
	if errors.As(err, &failed) {
		c.t.Fatalf("%s %q: %v: %s", name, args, err, failed.Stderr)
	}
	check(c.t, err)
	return string(out)
}

// field returns what Slurm says of a job.
func (c cluster) field(job, name string) string {
	c.t.Helper()
	said := regexp.MustCompile(`\b` + name + `=(\S+)`).FindStringSubmatch(c.say("scontrol", "show", "job", job))
	if said == nil {
		return ""
	}
	return said[1]
}

// ended waits until a job has ended, and returns its exit code as Slurm has it, code:signal.
func (c cluster) ended(job string) string {
	c.t.Helper()
	over := regexp.MustCompile(`^(COMPLETED|FAILED|CANCELLED|TIMEOUT|NODE_FAIL)`)
	c.until("job "+job+" has ended", 10*time.Minute, func() bool { return over.MatchString(c.field(job, "JobState")) })
	return c.field(job, "ExitCode")
}

// A task killed in the middle goes on where it was when it is requeued by the array's id; one that was
// cancelled is given again; the merge runs whatever the parts' end, tells what is missing, and in the end
// makes the report of one run, to the byte.
func TestArrayOnSlurm(t *testing.T) {
	if os.Getenv("STOPLEDGER_SLURM") == "" {
		t.Skip("runs daemons: ask for it with STOPLEDGER_SLURM=1, as root")
	}
	if os.Getuid() != 0 {
		t.Fatal("Slurm's daemons start jobs as root: run it as root")
	}
	for _, name := range []string{"munged", "slurmctld", "slurmd", "sbatch", "scontrol"} {
		if _, err := exec.LookPath(name); err != nil {
			t.Fatalf("%v: apt-get install --no-install-recommends slurmctld slurmd slurm-client munge", err)
		}
	}
	dir := t.TempDir()
	program := filepath.Join(dir, "stopledger")
	if out, err := exec.Command("go", "build", "-o", program, "../stopledger").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	script := must(filepath.Abs("slurm.sh"))(t)
	t.Setenv("STOPLEDGER", program)
	c := start(t)
	t.Chdir(dir)
	recordDay(t, 30)
	c.say(program, "audit", "--quiet", "--curve", "slog3", "--out", "whole", "day")

	ids := strings.Fields(c.say(script, "submit", "3", "all", "day", "--curve", "slog3"))
	array, merge := ids[0], ids[1]
	c.say("scancel", array+"_3")
	killed := measuredIn(t, "all.parts/2")
	c.until("part 2 has measured some clips", 5*time.Minute, func() bool {
		killed = measuredIn(t, "all.parts/2")
		return len(killed) >= 2
	})
	kill(t, "--shard 2/3")
	if code := c.ended(array + "_2"); !strings.HasSuffix(code, ":9") {
		t.Errorf("part 2 was killed: exit code %s", code)
	}
	if code := c.ended(merge); code != "3:0" {
		t.Errorf("the merge lacks two parts: exit code %s", code)
	}
	incomplete(t, "all")
	log := string(must(os.ReadFile("all.parts/merge.log"))(t))
	for _, says := range []string{"shard 2/3 is missing", "shard 3/3 is missing", "not complete: "} {
		if !strings.Contains(log, says) {
			t.Errorf("the merge's log does not say %q: %s", says, log)
		}
	}

	c.say("scontrol", "requeue", array+"_2")
	again := strings.TrimSpace(c.say("sbatch", "--parsable", "--array=3", "--output=all.parts/%a.log", script,
		"part", "3", "all", "day", "--curve", "slog3"))
	if code := c.ended(again + "_3"); code != "0:0" {
		t.Errorf("part 3, given again: exit code %s", code)
	}
	c.until("part 2 has started again", 10*time.Minute, func() bool { return c.field(array+"_2", "Restarts") == "1" })
	if code := c.ended(array + "_2"); code != "0:0" {
		t.Errorf("part 2, requeued: exit code %s", code)
	}
	resumed := measuredIn(t, "all.parts/2")
	for path, made := range killed {
		if resumed[path] != made {
			t.Errorf("%s was measured again: %s, then %s", path, made, resumed[path])
		}
	}
	t.Logf("part 2 was killed with %d clips measured and went on to %d", len(killed), len(resumed))
	if len(killed) >= len(resumed) {
		t.Errorf("part 2 was not killed in the middle: %d of %d clips", len(killed), len(resumed))
	}

	c.say("scontrol", "requeue", merge)
	c.until("the merge has started again", 10*time.Minute, func() bool { return c.field(merge, "Restarts") == "1" })
	if code := c.ended(merge); code != "0:0" {
		t.Errorf("the merge of all parts: exit code %s", code)
	}
	compareReports(t, "all", "whole")
}

// recordDay makes a small clip, and many of it.
func recordDay(t *testing.T, clips int) {
	t.Helper()
	cam := synth.NewCamera(480, 270, must(curve.Find("slog3"))(t))
	cam.Sampling = synth.S422
	scene := synth.Scene{Name: "card", Parts: []synth.Part{synth.Fill{Light: synth.Grey(0.05)},
		synth.NewCard(geometry.Upright(160, 90, 160, 90), curve.MidGrey)}}
	check(t, os.Mkdir("day", 0o755))
	_, err := synth.Record("day/first.mov", cam, synth.Shot{Scene: scene, Seed: 7, Frames: 24, Stops: 1},
		synth.Encoding{Codec: synth.ProRes422})
	check(t, err)
	clip := must(os.ReadFile("day/first.mov"))(t)
	for i := range clips - 1 {
		check(t, os.WriteFile(fmt.Sprintf("day/A001_C%03d.mov", i), clip, 0o644))
	}
}

// measuredIn tells the clips that the ledger in a folder has, and when each was measured.
func measuredIn(t *testing.T, dir string) map[string]string {
	t.Helper()
	made := map[string]string{}
	path := filepath.Join(dir, "ledger.sqlite")
	if _, err := os.Stat(path); err != nil {
		return made
	}
	db := must(sql.Open("sqlite3", "file:"+path+"?mode=ro&_busy_timeout=5000"))(t)
	defer db.Close()
	rows, err := db.Query("SELECT path, id || ' ' || made FROM outcome")
	if err != nil {
		return made // it is being made
	}
	defer rows.Close()
	for rows.Next() {
		var path, when string
		check(t, rows.Scan(&path, &when))
		made[path] = when
	}
	return made
}

// kill kills the audit with an argument, one of those that this test started, and waits for nothing.
func kill(t *testing.T, argument string) {
	t.Helper()
	program := os.Getenv("STOPLEDGER")
	entries := must(os.ReadDir("/proc"))(t)
	for _, e := range entries {
		pid, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		line, _ := os.ReadFile(filepath.Join("/proc", e.Name(), "cmdline"))
		words := strings.ReplaceAll(string(line), "\x00", " ")
		if strings.HasPrefix(words, program+" audit ") && strings.Contains(words, argument+" ") {
			check(t, syscall.Kill(pid, syscall.SIGKILL))
			return
		}
	}
	t.Fatalf("no audit with %s is running", argument)
}

func incomplete(t *testing.T, dir string) {
	t.Helper()
	var doc struct {
		Complete   bool
		Clips      []struct{ Path string }
		NotReached []string `json:"not_reached"`
	}
	check(t, json.Unmarshal(must(os.ReadFile(filepath.Join(dir, "audit.json")))(t), &doc))
	if doc.Complete || len(doc.Clips) == 0 || len(doc.Clips)+len(doc.NotReached) != 30 {
		t.Errorf("%s: complete %v, %d clips, %d not reached", dir, doc.Complete, len(doc.Clips), len(doc.NotReached))
	}
}

// compareReports compares all files of two reports but logs, which have times, and ledgers.
func compareReports(t *testing.T, got, want string) {
	t.Helper()
	a, b := filesOf(t, got), filesOf(t, want)
	for name := range b {
		if a[name] != b[name] {
			t.Errorf("%s differs", name)
		}
	}
	if len(a) != len(b) || len(b) < 30 {
		t.Errorf("%d files, want %d", len(a), len(b))
	}
}

func filesOf(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	check(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || d.Name() == "log.txt" || d.Name() == "ledger.sqlite" {
			return err
		}
		f, err := os.Open(path)
		if err != nil {
			return err
		}
		defer f.Close()
		content, err := io.ReadAll(f)
		files[strings.TrimPrefix(path, dir)] = string(content)
		return err
	}))
	return files
}

// The script says how it is used rather than do something that was not meant.
func TestScriptIsUsedWrongly(t *testing.T) {
	for _, args := range []string{"", "submit", "submit 3 out", "submit x out day", "submit 0 out day", "part 3 out",
		"merge 3", "run 3 out day"} {
		out, err := exec.Command("sh", append([]string{"slurm.sh"}, strings.Fields(args)...)...).CombinedOutput()
		var failed *exec.ExitError
		if !errors.As(err, &failed) || failed.ExitCode() != 2 || !strings.Contains(string(out), "slurm.sh submit PARTS OUT") {
			t.Errorf("%q: %v: %s", args, err, out)
		}
	}
}

// must returns a function that returns a value, or ends the test.
func must[T any](v T, err error) func(*testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		check(t, err)
		return v
	}
}

func check(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
