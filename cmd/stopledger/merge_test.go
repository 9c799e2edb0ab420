package main

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"stopledger/cmd/internal/audit"
	"stopledger/curve"
	"stopledger/decode/metadata/build"
	"stopledger/report"
	"stopledger/report/ledger"
)

// auditInto runs an audit of the fake instruments, which may fail on some clips.
func auditInto(t *testing.T, args ...string) {
	t.Helper()
	code, _, stderr := call(t, fakeMeasure, append([]string{"audit", "--quiet"}, args...)...)
	if code != exitMeasured && code != exitSomeFailed {
		t.Fatalf("%q: exit code %d: %s", args, code, stderr)
	}
}

// shards audits all shards of a run, in any order, and returns their folders.
func shards(t *testing.T, n int, args ...string) []string {
	t.Helper()
	dirs := make([]string, n)
	for _, i := range rand.Perm(n) {
		dirs[i] = fmt.Sprintf("part%d", i+1)
		auditInto(t, append([]string{"--shard", fmt.Sprintf("%d/%d", i+1, n), "--out", dirs[i]}, args...)...)
	}
	return dirs
}

func merged(t *testing.T, out string, dirs ...string) (code int, doc *report.Document, stderr string) {
	t.Helper()
	code, stdout, stderr := call(t, fakeMeasure, append([]string{"merge", "--format", "json", "--out", out}, dirs...)...)
	if code != exitUsage && code != exitBroken {
		doc = must(report.ReadJSON(strings.NewReader(stdout)))
		if doc.Shard != "" {
			t.Errorf("the merged report says that it is shard %s", doc.Shard)
		}
	}
	return code, doc, stderr
}

// A card of folders with good clips, bad ones, alarms, skipped files, numbered pictures and spaces.
func cardOf(t *testing.T) {
	t.Helper()
	names := []string{"card/notes.txt", "card/a b/.hidden", "other/x.mov"}
	for i := range 15 {
		kind := []string{"clip", "alarm", "bad", "clip"}[i%4]
		folder := []string{"card", "card/day10", "card/day9", "card/day9/night", "other"}[i%5]
		names = append(names, fmt.Sprintf("%s/%s%d.mov", folder, kind, i))
	}
	for i := range 5 {
		names = append(names, fmt.Sprintf("card/a b/shot.%04d.dpx", i+2*(i/3)))
	}
	inFolder(t, names...)
}

// Whatever shards, and in whatever order they are merged, the report has the bytes of one run over all.
func TestShardsMergedAreOneRun(t *testing.T) {
	runs := 2
	if os.Getenv("STOPLEDGER_FULL") != "" {
		runs = 4
	}
	for _, test := range []struct {
		n     int
		flags string
	}{{5, "--hold-grey"}, {3, ""}, {1, ""}, {40, ""}}[:runs] {
		cardOf(t)
		args := append(strings.Fields(test.flags), "card", "other", "missing.mov")
		auditInto(t, append([]string{"--out", "whole"}, args...)...)
		dirs := shards(t, test.n, args...)
		rand.Shuffle(len(dirs), func(i, j int) { dirs[i], dirs[j] = dirs[j], dirs[i] })
		about := fmt.Sprintf("%d shards, %q", test.n, test.flags)
		for range 2 { // twice is the same
			code, doc, stderr := merged(t, "all", dirs...)
			if code != exitSomeFailed || !doc.Complete {
				t.Fatalf("%s: exit code %d, complete %v: %s", about, code, doc.Complete, stderr)
			}
			sameReports(t, about, reportIn(t, "all"), reportIn(t, "whole"))
		}
		if code, _, stderr := call(t, fakeMeasure, "show", "all"); code != exitMeasured {
			t.Errorf("%s: show: %s", about, stderr)
		}
		sameReports(t, about+", shown", reportIn(t, "all"), reportIn(t, "whole"))
	}
}

// The same of real clips, with their pictures: grey is carried over within a folder, and what is said of
// a clip in another folder, whose grey was not carried over, is as in one run.
func TestShardsOfClipsWithPictures(t *testing.T) {
	if testing.Short() {
		t.Skip("decodes clips")
	}
	t.Chdir(t.TempDir())
	heldDay(t, 2)
	for _, folder := range []string{"day/a", "day/d"} { // of different shards
		if err := os.Mkdir(folder, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	build.WriteFile(t, "day/d/3-alone.mov", build.ReadFile(t, "day/2-next.mov"))
	for _, clip := range []string{"1-card.mov", "2-next.mov"} {
		if err := os.Rename("day/"+clip, "day/a/"+clip); err != nil {
			t.Fatal(err)
		}
	}
	quietly := func(args ...string) {
		t.Helper()
		var stderr bytes.Buffer
		if code := run(t.Context(), args, io.Discard, &stderr); code != exitMeasured {
			t.Fatalf("%q: exit code %d: %s", args, code, &stderr)
		}
	}
	flags := []string{"audit", "--quiet", "--hold-grey"}
	quietly(append(flags, "--out", "whole", "day")...)
	for _, shard := range []string{"1/2", "2/2"} {
		quietly(append(flags, "--shard", shard, "--out", "part"+shard[:1], "day")...)
	}
	if n := strings.Count(reportIn(t, "part1")["audit.csv"], "\n") - 1; n != 1 && n != 2 {
		t.Fatalf("%d clips in one shard: choose folders of different shards", n)
	}
	quietly("merge", "--quiet", "--out", "all", "part1", "part2")
	whole := reportIn(t, "whole")
	sameReports(t, "with pictures", reportIn(t, "all"), whole)
	pictures, noted := 0, strings.Contains(whole["audit.json"], "Grey was not carried over from 1-card.mov")
	for name := range whole {
		if strings.HasPrefix(name, "pictures/") {
			pictures++
		}
	}
	if pictures < 15 || !noted {
		t.Errorf("%d pictures; noted %v", pictures, noted)
	}
}

// Each entry of a run is in exactly one shard, and folders stay whole where grey is carried over.
func TestShardsDivideARun(t *testing.T) {
	cardOf(t)
	for _, hold := range []bool{false, true} {
		seen, folders := map[string]string{}, map[string]string{}
		for k := 1; k <= 4; k++ {
			args := []string{"audit", "--format", "json", "--quiet", "--shard", fmt.Sprintf("%d/4", k), "card"}
			if hold {
				args = append(args, "--hold-grey")
			}
			_, stdout, _ := call(t, fakeMeasure, args...)
			doc := must(report.ReadJSON(strings.NewReader(stdout)))
			paths := report.Paths(doc.Clips)
			for _, f := range doc.Failed {
				paths = append(paths, f.Path)
			}
			for _, path := range paths {
				if in, twice := seen[path]; twice {
					t.Errorf("%s is in shards %s and %s", path, in, doc.Shard)
				}
				seen[path] = doc.Shard
				if in := folders[filepath.Dir(path)]; hold && in != "" && in != doc.Shard {
					t.Errorf("%s is in shards %s and %s", filepath.Dir(path), in, doc.Shard)
				}
				folders[filepath.Dir(path)] = doc.Shard
			}
		}
		if want := 12 + 2; len(seen) != want { // 12 clips of the card, two parts of a sequence
			t.Errorf("%d entries in all shards, want %d: %v", len(seen), want, seen)
		}
	}
}

// Where a shard is missing, has not ended or has not reached all, the report says so and names what is
// not measured; once it is there the report is that of one run.
func TestMergeWithoutAShard(t *testing.T) {
	cardOf(t)
	auditInto(t, "--out", "whole", "card")
	dirs := shards(t, 3, "card")
	if err := os.Rename("part2", "away"); err != nil {
		t.Fatal(err)
	}
	for _, given := range [][]string{dirs, {"part1", "part3"}} {
		code, doc, stderr := merged(t, "all", given...)
		if code != exitSomeFailed || doc.Complete || len(doc.NotReached) == 0 ||
			!strings.Contains(stderr, "shard 2/3 is missing") {
			t.Errorf("%q: exit code %d, complete %v, %d not reached: %s", given, code, doc.Complete, len(doc.NotReached), stderr)
		}
		whole := must(report.ReadJSON(bytes.NewReader(must(os.ReadFile("whole/audit.json")))))
		if all := len(whole.Clips) + len(whole.Failed); len(doc.Clips)+len(doc.Failed)+len(doc.NotReached) != all {
			t.Errorf("%d clips, %d failed, %d not reached of %d", len(doc.Clips), len(doc.Failed), len(doc.NotReached), all)
		}
	}
	if err := os.Rename("away", "part2"); err != nil {
		t.Fatal(err)
	}
	if code, doc, stderr := merged(t, "all", dirs...); code != exitSomeFailed || !doc.Complete {
		t.Errorf("exit code %d, complete %v: %s", code, doc.Complete, stderr)
	}
	sameReports(t, "once it is there", reportIn(t, "all"), reportIn(t, "whole"))
	code, doc, stderr := merged(t, "all", "part1", "part3")
	if code != exitSomeFailed || doc.Complete || !strings.Contains(stderr, "the report in all stays, as it is fuller") {
		t.Errorf("over a complete one: exit code %d, complete %v: %s", code, doc.Complete, stderr)
	}
	sameReports(t, "a complete report", reportIn(t, "all"), reportIn(t, "whole"))
}

// A part that was interrupted lends what it has measured, and what it has not is named.
func TestMergeOfAnInterruptedShard(t *testing.T) {
	cardOf(t)
	auditInto(t, "--out", "whole", "card")
	auditInto(t, "--shard", "1/2", "--out", "part1", "card")
	if code, stderr := interrupted(t, 2, "--shard", "2/2", "--out", "part2", "card"); code != exitInterrupted {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	code, doc, stderr := merged(t, "all", "part1", "part2")
	if code != exitSomeFailed || doc.Complete || len(doc.NotReached) == 0 || strings.Contains(stderr, "is missing") {
		t.Errorf("exit code %d, complete %v, not reached %q: %s", code, doc.Complete, doc.NotReached, stderr)
	}
	auditInto(t, "--shard", "2/2", "--out", "part2", "card")
	if code, doc, stderr := merged(t, "all", "part1", "part2"); code != exitSomeFailed || !doc.Complete {
		t.Errorf("exit code %d, complete %v: %s", code, doc.Complete, stderr)
	}
	sameReports(t, "once it is through", reportIn(t, "all"), reportIn(t, "whole"))
}

// A part that was killed before it wrote a report lends what it has committed, also to pages.
func TestMergeOfAKilledShard(t *testing.T) {
	cardOf(t)
	auditInto(t, "--out", "whole", "card")
	auditInto(t, "--shard", "1/2", "--out", "part1", "card")
	killed, said := inChild(t, inChildKilled, "audit", "--jobs", "1", "--shard", "2/2", "--out", "part2", "card")
	if err := killed.Run(); err == nil {
		t.Fatalf("it was not killed: %s", said)
	}
	if _, err := os.Stat("part2/audit.json"); err == nil {
		t.Fatal("it wrote a report")
	}
	_, without, _ := merged(t, "all", "part1")
	code, doc, stderr := merged(t, "all", "part1", "part2")
	lent := len(doc.Clips) + len(doc.Failed) - len(without.Clips) - len(without.Failed)
	if code != exitSomeFailed || doc.Complete || len(doc.NotReached) == 0 || lent != 2 ||
		strings.Contains(stderr, "is missing") {
		t.Errorf("exit code %d, complete %v, %d lent, not reached %q: %s", code, doc.Complete, lent, doc.NotReached, stderr)
	}
	if code, _, stderr := call(t, fakeMeasure, "show", "part2"); code != exitMeasured {
		t.Errorf("show: exit code %d: %s", code, stderr)
	}
	if page := string(must(os.ReadFile("part2/index.html"))); !strings.Contains(page, "not reached") {
		t.Error("its pages do not say that clips were not reached")
	}
	auditInto(t, "--shard", "2/2", "--out", "part2", "card")
	if code, doc, stderr := merged(t, "all", "part1", "part2"); code != exitSomeFailed || !doc.Complete {
		t.Errorf("exit code %d, complete %v: %s", code, doc.Complete, stderr)
	}
	sameReports(t, "once it is through", reportIn(t, "all"), reportIn(t, "whole"))
}

// A clip that came after some of the shards had looked, and is another's, is not lost without a word.
func TestShardsThatSawDifferentClips(t *testing.T) {
	cardOf(t)
	late := 0 // of this name's shard
	for k := 1; late == 0; k++ {
		found := fmt.Sprintf("%d/2", k)
		if err := os.WriteFile("card/late.mov", []byte("not empty"), 0o644); err != nil {
			t.Fatal(err)
		}
		_, stdout, _ := call(t, fakeMeasure, "audit", "--format", "json", "--quiet", "--shard", found, "card")
		if strings.Contains(stdout, "late.mov") {
			late = k
		}
	}
	os.Remove("card/late.mov")
	auditInto(t, "--shard", fmt.Sprintf("%d/2", late), "--out", "early", "card")
	if err := os.WriteFile("card/late.mov", []byte("not empty"), 0o644); err != nil {
		t.Fatal(err)
	}
	auditInto(t, "--shard", fmt.Sprintf("%d/2", 3-late), "--out", "later", "card")
	code, doc, stderr := merged(t, "all", "early", "later")
	if code != exitSomeFailed || doc.Complete || !slices.Equal(doc.NotReached, []string{"card/late.mov"}) {
		t.Errorf("exit code %d, complete %v, not reached %q: %s", code, doc.Complete, doc.NotReached, stderr)
	}
}

func TestMergeRefuses(t *testing.T) {
	inFolder(t, "a/one.mov", "b/two.mov", "site/index.html", "empty/")
	auditInto(t, "--out", "A", "a")
	auditInto(t, "--out", "B", "b")
	auditInto(t, "--out", "over", "--target", "1", "b")
	auditInto(t, "--out", "curve", "--curve", "slog3", "b")
	auditInto(t, "--out", "held", "--hold-grey", "b")
	auditInto(t, "--out", "half", "--shard", "1/2", "b")
	auditInto(t, "--out", "third", "--shard", "1/3", "b")
	for _, test := range []struct {
		args string
		code int
		says string
	}{
		{"merge", exitUsage, "name folders that audit --out wrote"},
		{"merge A B", exitUsage, "with --out"},
		{"merge A over --out all", exitUsage, "--target is 0 in A and 1 in over"},
		{"merge A curve --out all", exitUsage, `--curve is "auto" in A and "slog3" in curve`},
		{"merge A held --out all", exitUsage, "--hold-grey is not given in A and true in held"},
		{"merge half third --out all", exitUsage, "half is shard 1/2 and third is shard 1/3"},
		{"merge A B --out A", exitUsage, "--out A holds an audit"},
		{"merge A B --out site", exitUsage, "holds index.html, which stopledger did not write"},
		{"merge nothing empty --out all", exitBroken, "none of the folders can be merged"},
		{"merge A nothing --out some", exitSomeFailed, "not merged: nothing: there is no such folder"},
		{"merge A empty --out some2", exitSomeFailed, "not merged: empty/audit.json: there is no such file"},
		{"merge some B --out nested", exitSomeFailed, ""}, // lacks what some lacks
		{"merge A B A ./A/ --out both", exitMeasured, ""},
		{"merge A B --out ./both", exitMeasured, ""},
		{"merge both --out both", exitUsage, "--out both is one of the folders to merge"},
		{"audit --shard 0/3 a", exitUsage, `--shard cannot be "0/3": it takes K/N, part K of N`},
		{"audit --shard 4/3 a", exitUsage, "--shard cannot be"},
		{"audit --shard 1 a", exitUsage, "--shard cannot be"},
		{"audit --shard 1/2/3 a", exitUsage, "--shard cannot be"},
		{"audit --shard 01/2 a", exitUsage, "--shard cannot be"},
		{"audit --shard x/y a", exitUsage, "--shard cannot be"},
		{"compare --shard 1/2 a b", exitUsage, "there is no flag --shard"},
	} {
		code, _, stderr := call(t, fakeMeasure, strings.Fields(test.args)...)
		if code != test.code || !strings.Contains(stderr, test.says) {
			t.Errorf("%s: exit code %d: %s", test.args, code, stderr)
		}
	}
}

// The same file at the same path in two audits is taken from the later; another file of that path is
// no ground to drop either.
func TestMergeOfOnePathTwice(t *testing.T) {
	inFolder(t, "card/a.mov", "card/b.mov")
	auditInto(t, "--out", "first", "card/a.mov")
	two := func(ctx context.Context, j audit.Job) (report.Clip, error) {
		return j.Finish(ctx, fakeMeasurement(j.Path, curve.Stops(-0.5)))
	}
	db := must(sql.Open("sqlite3", filepath.Join("first", ledger.FileName)))
	if _, err := db.Exec("UPDATE outcome SET made = '2020-01-01T00:00:00Z'"); err != nil { // seconds are kept
		t.Fatal(err)
	}
	db.Close()
	if code, _, stderr := call(t, two, "audit", "--quiet", "--out", "second", "card"); code != exitMeasured {
		t.Fatal(stderr)
	}
	for _, dirs := range [][]string{{"first", "second"}, {"second", "first"}} {
		code, doc, stderr := merged(t, "all", dirs...)
		if code != exitMeasured || len(doc.Clips) != 2 || doc.Clips[0].Placement.Stops != -0.5 ||
			!strings.Contains(stderr, "card/a.mov is in") ||
			!strings.Contains(stderr, "the later measurement is taken, of second") {
			t.Errorf("%q: exit code %d, %d clips: %s", dirs, code, len(doc.Clips), stderr)
		}
	}
	if err := os.WriteFile("card/a.mov", []byte("another"), 0o644); err != nil {
		t.Fatal(err)
	}
	auditInto(t, "--out", "third", "card/a.mov")
	if code, _, stderr := merged(t, "all", "first", "third"); code != exitUsage ||
		!strings.Contains(stderr, "card/a.mov in third is another file than in first") {
		t.Errorf("another file: exit code %d: %s", code, stderr)
	}
}

// Folders without a ledger, of schema 1 too, are merged as their documents are.
func TestMergeOfDocuments(t *testing.T) {
	cardOf(t)
	auditInto(t, "--out", "old", "card/day9")
	auditInto(t, "--out", "new", "other")
	auditInto(t, "--out", "whole", "card/day9", "other")
	if err := os.Remove("old/" + ledger.FileName); err != nil {
		t.Fatal(err)
	}
	code, doc, stderr := merged(t, "all", "old", "new")
	if code != exitSomeFailed || !doc.Complete {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	sameReports(t, "of documents", reportIn(t, "all"), reportIn(t, "whole"))
	var fields map[string]any
	if err := json.Unmarshal(must(os.ReadFile("old/audit.json")), &fields); err != nil {
		t.Fatal(err)
	}
	fields["schema"] = report.Schema1
	delete(fields, "complete")
	delete(fields, "skipped")
	if err := os.WriteFile("old/audit.json", must(json.Marshal(fields)), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, doc, stderr = merged(t, "all", "old", "new"); code != exitSomeFailed || !doc.Complete {
		t.Errorf("schema 1: exit code %d: %s", code, stderr)
	}
	whole := must(report.ReadJSON(bytes.NewReader(must(os.ReadFile("whole/audit.json")))))
	if !slices.Equal(report.Paths(doc.Clips), report.Paths(whole.Clips)) {
		t.Errorf("schema 1: %q", report.Paths(doc.Clips))
	}
	if code, _, stderr := call(t, fakeMeasure, "show", "all"); code != exitMeasured {
		t.Errorf("show: %s", stderr)
	}
}

// Shards read with a curve from a file, which no ledger keeps, are merged to the byte too, and what a
// missing one has is known; a file that held another curve for one of them is refused.
func TestMergeWithACurveFromAFile(t *testing.T) {
	curves := must(filepath.Abs(filepath.Join(root, "curve/lut/testdata")))
	slog3 := build.ReadFile(t, filepath.Join(curves, "slog3-to-linear.clf"))
	cardOf(t)
	build.WriteFile(t, "own.clf", slog3)
	auditInto(t, "--curve", "own.clf", "--out", "whole", "card")
	shards(t, 2, "--curve", "own.clf", "card")
	if code, doc, stderr := merged(t, "all", "part2"); code != exitSomeFailed || doc.Complete || len(doc.NotReached) == 0 {
		t.Errorf("without a shard: exit code %d, complete %v, not reached %q: %s", code, doc.Complete, doc.NotReached, stderr)
	}
	if code, doc, stderr := merged(t, "all", "part2", "part1"); code != exitSomeFailed || !doc.Complete {
		t.Errorf("exit code %d, complete %v: %s", code, doc.Complete, stderr)
	}
	sameReports(t, "with a curve from a file", reportIn(t, "all"), reportIn(t, "whole"))
	build.WriteFile(t, "own.clf", build.ReadFile(t, filepath.Join(curves, "gamma2-lut1d.clf")))
	auditInto(t, "--curve", "own.clf", "--shard", "1/2", "--out", "changed", "card")
	if code, _, stderr := merged(t, "none", "changed", "part2"); code != exitUsage ||
		!strings.Contains(stderr, "the curve's file held another curve for part2 than for changed") {
		t.Errorf("another curve: exit code %d: %s", code, stderr)
	}
}
