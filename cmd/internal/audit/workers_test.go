package audit

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"stopledger/analyze"
	"stopledger/cmd/internal/card"
	"stopledger/cmd/internal/worker"
	"stopledger/curve"
	"stopledger/decode/synth"
	"stopledger/report"
)

const testVerb = "_worker"

// The test binary is its own worker, as the program is, but for clips whose names ask for trouble.
func TestMain(m *testing.M) {
	if len(os.Args) == 2 && os.Args[1] == testVerb {
		os.Exit(worker.Serve(os.Stdin, os.Stdout, troubled))
	}
	os.Exit(m.Run())
}

var sound = new(hand)

// troubled works as a hand does until a clip is measured whose name asks for trouble.
func troubled(body []byte, tell worker.Tell) []byte {
	var r request
	if err := wire.Unmarshal(body, &r); err != nil || r.Step != measuring {
		return sound.do(body, tell)
	}
	switch name := filepath.Base(r.Path); {
	case strings.HasPrefix(name, "crash"):
		tell(string(measuring), 0.5)
		_ = syscall.Kill(os.Getpid(), syscall.SIGSEGV)
		select {}
	case strings.HasPrefix(name, "panic"):
		go func() { panic("a thread of the decoder broke") }()
		select {}
	case strings.HasPrefix(name, "killed"):
		_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
		select {}
	case strings.HasPrefix(name, "hang"):
		select {}
	case strings.HasPrefix(name, "greedy"):
		var all [][]byte
		for {
			all = append(all, make([]byte, 64<<20))
			tell(string(measuring), float64(len(all)))
		}
	case strings.HasPrefix(name, "sockets"):
		return openSockets()
	}
	return sound.do(body, tell)
}

// openSockets answers with a failure that lists the sockets this process has open, and how confined
// it is.
func openSockets() []byte {
	var found []string
	for fd := range 256 {
		if to, err := os.Readlink(fmt.Sprintf("/proc/self/fd/%d", fd)); err == nil && strings.HasPrefix(to, "socket") {
			found = append(found, to)
		}
	}
	_, read := os.ReadFile("/etc/passwd")
	err := fmt.Errorf("sockets: %v; reading elsewhere: %v", found, read)
	b, _ := wire.Marshal(reply{Failed: failureOf(err)})
	return b
}

// recordedDay records a few small clips, once for all tests; all show a card but the third.
var recordedDay = sync.OnceValues(func() (map[string][]byte, error) {
	folder, err := os.MkdirTemp("", "day")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	c, err := curve.Find("slog3")
	if err != nil {
		return nil, err
	}
	const w, h = 320, 180
	clips := map[string][]byte{}
	for i, name := range dayNames {
		scene := synth.Wheelhouse(w, h)
		if i == 2 {
			scene = synth.MessRoomWindow(w, h)
		}
		how := map[string]synth.Encoding{".mkv": {Codec: synth.FFV1}, ".mov": {Codec: synth.ProRes422},
			".mp4": {Codec: synth.HEVC}}[filepath.Ext(name)]
		how.Metadata = map[string]string{"com.atomos.hdr.gamma": "SLog3"}
		shot := synth.Shot{Scene: scene, Seed: uint64(i), Frames: 3, Stops: curve.Stops(i) / 2}
		path := filepath.Join(folder, name)
		if _, err := synth.Record(path, synth.NewCamera(w, h, c), shot, how); err != nil {
			return nil, err
		}
		if clips[name], err = os.ReadFile(path); err != nil {
			return nil, err
		}
	}
	return clips, nil
})

var dayNames = []string{"a.mkv", "b.mov", "c.mkv", "d.mp4"}

// day puts the recorded clips into the working folder, a new one.
func day(t *testing.T) []string {
	t.Helper()
	t.Chdir(t.TempDir())
	clips, err := recordedDay()
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range clips {
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return slices.Clone(dayNames)
}

func usualDay() analyze.Settings {
	s := pictured("", "").Settings
	s.HoldGrey, s.Lifts = true, []curve.Stops{1, 2}
	return s
}

// run measures clips and returns what a report has of them: the document, and the files of pictures.
func runDay(t *testing.T, names []string, jobs int, m func([]card.Entry) Measurer) (Results, []byte) {
	t.Helper()
	entries, folder := entriesOf(names...), t.TempDir()
	res := Batch{Entries: entries, Settings: usualDay(), Jobs: jobs, Folder: folder, SamePlace: true,
		Measure: m(entries)}.Run(t.Context())
	var all bytes.Buffer
	if err := report.WriteJSON(&all, &report.Document{Clips: res.Clips}); err != nil {
		t.Fatal(err)
	}
	files, _ := filepath.Glob(filepath.Join(folder, report.PictureFolder, "*"))
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintln(&all, filepath.Base(f))
		all.Write(data)
	}
	return res, all.Bytes()
}

func hired(t *testing.T, jobs int, timeout time.Duration) func([]card.Entry) Measurer {
	return func(entries []card.Entry) Measurer {
		w := hire(t, Crew{Verb: testVerb, Jobs: jobs, Timeout: timeout}, entries)
		t.Cleanup(w.Close)
		return w.Measure
	}
}

const patient = time.Minute

// Workers measure what this process measures, to the byte, however many they are.
func TestWorkersMeasureTheSame(t *testing.T) {
	names := day(t)
	_, want := runDay(t, names, 1, func([]card.Entry) Measurer { return Measure })
	for _, jobs := range []int{1, 3} {
		res, got := runDay(t, names, jobs, hired(t, jobs, patient))
		if !bytes.Equal(got, want) || len(res.Clips) != len(names) {
			t.Errorf("%d jobs: %d clips, other bytes than in this process: %+v", jobs, len(res.Clips), res.Failed)
		}
	}
}

// A worker that dies, hangs or takes all memory costs the clip that it was at, which says why, and
// changes no byte of the others.
func TestTroubleCostsOneClip(t *testing.T) {
	names := day(t)
	_, want := runDay(t, names, 1, func([]card.Entry) Measurer { return Measure })
	trouble := map[string]string{
		"crash.mkv":  "the process crashed while measuring it (segmentation violation); the other clips are not affected",
		"panic.mkv":  "the process crashed while measuring it (a thread of the decoder broke); the other clips",
		"killed.mkv": "the process crashed while measuring it (killed); the other clips",
		"hang.mkv":   "it did not get on for ",
		"greedy.mkv": "it needs more memory than the 1.3 GiB it may have, while measuring it, for frames of 320 x 180; ",
	}
	if testing.Short() { // the race detector, which short runs are for, takes memory that it may not have
		delete(trouble, "greedy.mkv")
	}
	all := []string{}
	for name := range trouble {
		data, err := os.ReadFile("a.mkv")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
		all = append(all, name)
	}
	all = append(append([]string{names[0]}, all...), names[1:]...)
	res, got := runDay(t, all, 2, hired(t, 2, 4*time.Second))
	if !bytes.Equal(got, want) {
		t.Errorf("the others' bytes are changed: %d clips", len(res.Clips))
	}
	if len(res.Failed) != len(trouble) {
		t.Errorf("failed: %+v", res.Failed)
	}
	for _, f := range res.Failed {
		if !strings.HasPrefix(f.Error, trouble[f.Path]) {
			t.Errorf("%s: %s", f.Path, f.Error)
		}
	}
}

// What reads for ever is given up in time: files whose tails are zeros without end, and one of
// nothing but zeros. Those that FFmpeg can still read may be measured.
func TestEndlessZeros(t *testing.T) {
	names := day(t)
	for from, to := range map[string]string{"a.mkv": "tail.mkv", "b.mov": "tail.mov", "d.mp4": "tail.mpg"} {
		data, err := os.ReadFile(from)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(to, data, 0o600); err != nil {
			t.Fatal(err)
		}
		names = append(names, to)
	}
	names = append(names, "sparse.dv", "sparse.mpg", "sparse.ts", "sparse.mxf")
	for _, name := range names[4:] {
		f, err := os.OpenFile(name, os.O_CREATE|os.O_WRONLY, 0o600)
		if err != nil {
			t.Fatal(err)
		}
		if err := f.Truncate(64 << 30); err != nil {
			t.Skip("no sparse files here: ", err)
		}
		f.Close()
	}
	began := time.Now()
	res, _ := runDay(t, names[4:], 2, hired(t, 2, time.Second))
	if took := time.Since(began); took > 40*time.Second { // seven clips, two at a time, on a busy machine
		t.Errorf("it took %v", took)
	}
	if len(res.Clips)+len(res.Failed) != len(names)-4 {
		t.Errorf("%d clips, failed %+v", len(res.Clips), res.Failed)
	}
	for _, f := range res.Failed {
		if f.Path == "sparse.dv" && !gaveUp.MatchString(f.Error) {
			t.Errorf("%+v", f)
		}
	}
}

// gaveUp is what is said after a second; on a busy machine it is told a little later.
var gaveUp = regexp.MustCompile(`it did not get on for 1(\.[0-9])? s while opening it`)

// Pipes named like a clip, and like the XML beside one, are not opened: the one is told, the other is
// none.
func TestPipesAreNotWaitedFor(t *testing.T) {
	day(t)
	for _, name := range []string{"pipe.mov", "aM01.XML"} {
		if err := syscall.Mkfifo(name, 0o600); err != nil {
			t.Skip(err)
		}
	}
	res, _ := runDay(t, []string{"a.mkv", "pipe.mov"}, 1, hired(t, 1, patient))
	if len(res.Clips) != 1 || len(res.Failed) != 1 || !strings.Contains(res.Failed[0].Error, "pipe, socket or device") {
		t.Errorf("%d clips, failed %+v", len(res.Clips), res.Failed)
	}
}

// A worker that has measured a clip has no socket open, and reads nothing outside the clips' folders
// where the system can see to that.
func TestWorkersAreConfined(t *testing.T) {
	if Unconfined() != "" {
		t.Skip(Unconfined())
	}
	day(t)
	if err := os.Rename("d.mp4", "sockets.mp4"); err != nil {
		t.Fatal(err)
	}
	res, _ := runDay(t, []string{"a.mkv", "sockets.mp4"}, 1, hired(t, 1, patient))
	if len(res.Clips) != 1 || len(res.Failed) != 1 {
		t.Fatalf("%d clips, failed %+v", len(res.Clips), res.Failed)
	}
	if said := res.Failed[0].Error; !strings.HasPrefix(said, "sockets: []; reading elsewhere: open /etc/passwd: perm") {
		t.Error(said)
	}
}

// Clips that links lead to are measured, also where the links lead out of the folder.
func TestLinkedClipsAreMeasured(t *testing.T) {
	day(t)
	elsewhere, err := filepath.Abs("a.mkv")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	if err := os.Symlink(elsewhere, "link.mkv"); err != nil {
		t.Skip(err)
	}
	res, _ := runDay(t, []string{"link.mkv"}, 1, hired(t, 1, patient))
	if len(res.Clips) != 1 {
		t.Errorf("failed %+v", res.Failed)
	}
}

// Errors keep their words and their kind on the way from a worker.
func TestErrorsTravel(t *testing.T) {
	for _, err := range []error{
		broken("a.mov", "index out of range"), &PictureError{"a.mov", errFull}, errFull,
		forUser("a.mov", errFull), refusedFile(t),
	} {
		back := failureOf(err).err()
		var before, after *PictureError
		if back.Error() != err.Error() || errors.As(err, &before) != errors.As(back, &after) {
			t.Errorf("%v became %v", err, back)
		}
		for _, kind := range kinds {
			if errors.Is(err, kind) != errors.Is(back, kind) {
				t.Errorf("%v is no longer %v", err, kind)
			}
		}
	}
}

// refusedFile is decode's error for a file that is not there.
func refusedFile(t *testing.T) error {
	t.Helper()
	_, err := Measure(t.Context(), Job{Path: "gone.mov"})
	if err == nil {
		t.Fatal("it was measured")
	}
	return err
}

// BenchmarkDay measures a few clips in this process and in workers.
func BenchmarkDay(b *testing.B) {
	path := filepath.Join(b.TempDir(), "a.mov")
	c, err := curve.Find("slog3")
	if err != nil {
		b.Fatal(err)
	}
	const w, h = 1280, 720
	shot := synth.Shot{Scene: synth.Wheelhouse(w, h), Frames: 96}
	how := synth.Encoding{Codec: synth.ProRes422, Metadata: map[string]string{"com.atomos.hdr.gamma": "SLog3"}}
	if _, err := synth.Record(path, synth.NewCamera(w, h, c), shot, how); err != nil {
		b.Fatal(err)
	}
	entries := entriesOf(path, path, path, path, path, path)
	for name, m := range map[string]func() (Measurer, func()){
		"process": func() (Measurer, func()) { return Measure, func() {} },
		"workers": func() (Measurer, func()) {
			w := hire(b, Crew{Verb: testVerb, Jobs: 2, Timeout: patient}, entries)
			return w.Measure, w.Close
		},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				measure, end := m()
				Batch{Entries: entries, Settings: usualDay(), Jobs: 2, Folder: b.TempDir(), Measure: measure}.Run(b.Context())
				end()
			}
		})
	}
}

func hire(t testing.TB, c Crew, entries []card.Entry) *Workers {
	t.Helper()
	w, err := c.Hire(t.Context(), entries, usualDay())
	if err != nil {
		t.Fatal(err)
	}
	return w
}
