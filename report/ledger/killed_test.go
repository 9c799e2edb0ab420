package ledger

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// What a child process of these tests does is named in its environment.
const (
	childCommits = "STOPLEDGER_TEST_COMMITS" // commits to the ledger of a folder until it is killed
	childHolds   = "STOPLEDGER_TEST_HOLDS"   // locks a folder and waits
)

func TestMain(m *testing.M) {
	switch {
	case os.Getenv(childCommits) != "":
		commitForever(os.Getenv(childCommits))
	case os.Getenv(childHolds) != "":
		if _, err := LockFolder(os.Getenv(childHolds)); err == nil {
			fmt.Println("held")
		}
		time.Sleep(time.Minute)
	}
	os.Exit(m.Run())
}

// commitForever says which outcome is committed once it is.
func commitForever(dir string) {
	lock, err := LockFolder(dir)
	if err != nil {
		panic(err)
	}
	l, err := Open(dir, lock, false)
	if err != nil {
		panic(err)
	}
	for i := 0; ; i++ {
		k := keyOf(strconv.Itoa(i))
		id, err := l.Find(k)
		if err == nil && id == 0 {
			_, err = l.Commit(k, Outcome{Measurement: bodyOf(i)})
		}
		if err != nil {
			panic(err)
		}
		fmt.Println(i)
	}
}

func bodyOf(i int) []byte { return bytes.Repeat([]byte(strconv.Itoa(i)+" "), 2000) }

// child starts a child process of the test binary.
func child(t *testing.T, does, dir string) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	c := exec.Command(must(os.Executable())(t))
	c.Env, c.Stderr = append(os.Environ(), does+"="+dir), os.Stderr
	out := must(c.StdoutPipe())(t)
	noError(t, c.Start())
	return c, bufio.NewScanner(out)
}

// A run that is killed at any instant loses nothing that it said was committed, and leaves the folder
// to the next one.
func TestKilledWhileCommitting(t *testing.T) {
	kills := 10
	switch {
	case os.Getenv("STOPLEDGER_FULL") != "":
		kills = 200
	case testing.Short():
		kills = 2
	}
	const seed = 50001
	random := rand.New(rand.NewPCG(seed, 0))
	dir := t.TempDir()
	committed := map[int]bool{}
	for range kills {
		c, lines := child(t, childCommits, dir)
		if random.IntN(4) > 0 {
			lines.Scan() // it has begun; else it is killed while it opens the ledger
			committed[must(strconv.Atoi(lines.Text()))(t)] = true
		}
		time.AfterFunc(time.Duration(random.IntN(30_000))*time.Microsecond, func() { _ = c.Process.Kill() })
		for lines.Scan() {
			committed[must(strconv.Atoi(lines.Text()))(t)] = true
		}
		_ = c.Wait()
	}
	l, closeIt := opened(t, dir)
	defer closeIt()
	for i := range committed {
		id := must(l.Find(keyOf(strconv.Itoa(i))))(t)
		if id == 0 {
			t.Errorf("seed %d: %d is lost", seed, i)
		} else if got := must(l.Outcome(id))(t).Measurement; !bytes.Equal(got, bodyOf(i)) {
			t.Errorf("seed %d: %d holds %.20q", seed, i, got)
		}
	}
	t.Logf("%d kills, %d outcomes committed", kills, len(committed))
	if len(committed) < kills/2 {
		t.Error("too little was committed to tell")
	}
}

// A folder has one run at a time, and the lock ends with the program that holds it.
func TestLockFolder(t *testing.T) {
	dir := t.TempDir()
	c, lines := child(t, childHolds, dir)
	if lines.Scan(); lines.Text() != "held" {
		t.Fatalf("the child says %q", lines.Text())
	}
	if _, err := LockFolder(dir); !errors.Is(err, ErrInUse) || !strings.Contains(err.Error(), dir) {
		t.Errorf("a folder in use: %v", err)
	}
	noError(t, c.Process.Kill())
	_ = c.Wait()
	lock := must(LockFolder(dir))(t)
	if _, err := LockFolder(dir); !errors.Is(err, ErrInUse) {
		t.Errorf("a folder in use by this program: %v", err)
	}
	lock.Release()
	if files := must(os.ReadDir(dir))(t); len(files) != 0 || !lock.Held() {
		t.Errorf("left behind: %v", files)
	}
	if _, err := LockFolder(filepath.Join(dir, "none")); err == nil {
		t.Error("a folder that is not there is locked")
	}
}

// Of many that want a folder at once one has it at a time.
func TestLockIsTakenInTurn(t *testing.T) {
	dir := t.TempDir()
	busy, had := make(chan int, 1), make(chan bool)
	for range 8 {
		go func() {
			for n := 0; n < 50; {
				lock, err := LockFolder(dir)
				if err != nil {
					continue
				}
				select {
				case busy <- 1:
				default:
					t.Error("two have it")
				}
				<-busy
				lock.Release()
				n++
			}
			had <- true
		}()
	}
	for range 8 {
		<-had
	}
}

// A disk that is full is told as such, at whatever size that is; what is committed stays, and with
// room the same run goes on. The database's own limit stands for the disk's: SQLite gives the same
// error for both (https://sqlite.org/rescode.html#full).
func TestFull(t *testing.T) {
	dir := t.TempDir()
	l, closeIt := opened(t, dir)
	defer closeIt()
	var kept []ID
	for pages := 12; pages < 100; pages += 7 {
		must(l.db.Exec("PRAGMA max_page_count = " + strconv.Itoa(pages)))(t)
		for {
			n := len(kept)
			id, err := l.Commit(keyOf(strconv.Itoa(n)), Outcome{Measurement: bodyOf(n)})
			if err != nil {
				if !Full(err) || !strings.Contains(err.Error(), "there is no room") {
					t.Fatalf("%d pages: %v", pages, err)
				}
				break
			}
			kept = append(kept, id)
		}
		for i, id := range kept {
			if got := must(l.Outcome(id))(t).Measurement; !bytes.Equal(got, bodyOf(i)) {
				t.Fatalf("%d pages: %d of %d is not what was committed", pages, i, len(kept))
			}
		}
	}
	if len(kept) < 10 {
		t.Errorf("%d were committed", len(kept))
	}
	if Full(errors.New("other")) || !Full(fmt.Errorf("written: %w", syscall.ENOSPC)) ||
		!Full(&os.PathError{Err: syscall.EDQUOT}) {
		t.Error("other errors are taken for a full disk, or the other way round")
	}
}
