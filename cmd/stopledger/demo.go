package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"

	"github.com/spf13/pflag"
	"golang.org/x/sync/errgroup"

	"stopledger/curve"
	"stopledger/decode/synth"
	"stopledger/report"
)

const demoUsage = `Usage: stopledger demo [DIR]

Makes a few short clips of an invented film about a ferry crew with a synthetic camera, encodes
them as cameras do, and audits them as you would audit a day's footage. DIR (stopledger-demo if
you name none) receives the clips and the reports; open DIR/report/index.html afterwards.

Example:
  stopledger demo
`

const demoFolder = "stopledger-demo"

// demo makes the clips, audits them and sets two test takes side by side.
func (a app) demo(ctx context.Context, args []string) error {
	flags := pflag.NewFlagSet("demo", pflag.ContinueOnError)
	if err := parse("demo", demoUsage, flags, args); err != nil {
		return err
	}
	dir := demoFolder
	switch flags.NArg() {
	case 0:
	case 1:
		dir = flags.Arg(0)
	default:
		return &usageError{verb: "demo", text: "name one folder at most"}
	}
	clips := filepath.Join(dir, "clips")
	if err := makeDemo(ctx, clips, a.stderr); err != nil {
		if ctx.Err() != nil {
			fmt.Fprintln(a.stderr, "interrupted: clips that are recorded stay; the same command goes on from there")
			return errInterrupted
		}
		return err
	}
	if err := a.audit(ctx, []string{"--out", filepath.Join(dir, "report"), clips}); err != nil {
		return err
	}
	takes := []string{"--out", filepath.Join(dir, "takes")}
	for _, shot := range demoTakes {
		takes = append(takes, filepath.Join(clips, shot))
	}
	fmt.Fprintln(a.stdout)
	if err := a.compare(ctx, takes); err != nil {
		return err
	}
	fmt.Fprintf(a.stderr, "\nThe pages: %s\n           %s\n",
		filepath.Join(dir, "report", report.IndexPage), filepath.Join(dir, "takes", report.ComparePage))
	return nil
}

// makeDemo records the clips that are not there yet, one on each processor.
func makeDemo(ctx context.Context, dir string, stderr io.Writer) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("the demo's folder cannot be made: %w; name another one", err)
	}
	shots := demoShots()
	recording, going := errgroup.WithContext(ctx)
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, shot := range shots {
		path := filepath.Join(dir, shot.name)
		if _, err := os.Stat(path); err == nil {
			continue
		}
		free <- struct{}{}
		if going.Err() != nil {
			break
		}
		fmt.Fprintf(stderr, "recording %d of %d, %s: %s\n", i+1, len(shots), shot.name, shot.about)
		recording.Go(func() error {
			defer func() { <-free }()
			return shot.recordTo(path)
		})
	}
	if err := recording.Wait(); err != nil {
		return err
	}
	return ctx.Err()
}

// A demoShot is one clip of the invented film "Night Ferry": two shooting days and a camera test.
type demoShot struct {
	name  string // path below the demo's folder
	about string
	curve string
	scene func(width, height int) synth.Scene
	shot  synth.Shot
	iso   float64
	clock string // timecode of its first frame
	how   synth.Encoding
}

// demoTakes are the camera test's two takes, set side by side.
var demoTakes = []string{"test/T1_nominal.mov", "test/T2_over.mov"}

const (
	demoWidth  = 1280
	demoHeight = 720
	demoFrames = 24
)

// names of curves as they stand in the clips, under keys that recorders and cameras write.
var demoKeys = map[string]map[string]string{
	"S-Log3": {"com.atomos.hdr.gamma": "SLog3"},
	"V-Log":  {"com.atomos.hdr.gamma": "VLog"},
	"LogC3":  {"com.arri.camera.ColorGammaSxS": "LogC3", "com.arri.camera.ExposureIndexAsa": "800"},
}

func demoShots() []demoShot {
	prores := synth.Encoding{Codec: synth.ProRes422, Quality: 1}
	intra := synth.Encoding{Codec: synth.HEVC, Quality: 6, Preset: "ultrafast"}
	long := synth.Encoding{Codec: synth.HEVC, LongGOP: true, Quality: 20}
	over := func(stops curve.Stops) synth.Shot { return synth.Shot{Stops: stops} }
	cloud := synth.Shot{Stops: 0.4, Drift: -0.25}
	lamp := synth.Shot{Stops: 1, Flicker: synth.Flicker{Depth: 0.25, MainsHz: 60, ShutterS: 1.0 / 50}}
	return []demoShot{
		{"day1/A001_wheelhouse.mov", "a card in the wheelhouse, 1.65 stops over",
			"S-Log3", synth.Wheelhouse, over(1.65), 800, "06:12:40:00", prores},
		{"day1/A002_mess-room.mov", "the mess room against its window",
			"S-Log3", synth.MessRoomWindow, over(1), 800, "07:25:10:00", prores},
		{"day1/A003_harbour-sky.mov", "bright cloud over the quay, two stops over",
			"V-Log", synth.HarbourSky, over(2), 800, "08:41:05:00", intra},
		{"day1/A004_bulkhead.mov", "a painted wall and nothing to place exposure by",
			"S-Log3", synth.Bulkhead, over(0.7), 800, "09:06:30:00", prores},
		{"day2/B001_chart-table.mov", "a chart on the mess table",
			"LogC3", synth.ChartTable, over(0.8), 800, "14:20:15:00", prores},
		{"day2/B002_deckhand.mp4", "a deckhand, recorded with frames predicted from others",
			"S-Log3", synth.Deckhand, over(1.3), 3200, "15:08:50:00", long},
		{"day2/B003_deckhand-cloud.mov", "the same while a cloud passes",
			"S-Log3", synth.Deckhand, cloud, 800, "15:39:20:00", prores},
		{"day2/B004_quay-at-night.mov", "the quay under lamps",
			"S-Log3", synth.QuayAtNight, over(0.5), 3200, "21:14:00:00", prores},
		{"day2/B005_wheelhouse-lamp.mov", "the wheelhouse under lamps that beat with the shutter",
			"S-Log3", synth.Wheelhouse, lamp, 1600, "22:03:45:00", prores},
		{demoTakes[0], "camera test, nominal", "S-Log3", synth.Wheelhouse, over(0), 3200, "05:30:00:00",
			prores},
		{demoTakes[1], "camera test, 1.65 stops over", "S-Log3", synth.Wheelhouse, over(1.65), 3200, "05:34:00:00",
			prores},
	}
}

// recordTo records the shot under another name and renames it, so that one that was broken off is not taken for
// finished.
func (d demoShot) recordTo(path string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return fmt.Errorf("recording %s: %w", path, err)
	}
	part := filepath.Join(filepath.Dir(path), ".part-"+filepath.Base(path))
	if err := d.record(part); err != nil {
		os.Remove(part)
		return fmt.Errorf("recording %s: %w", path, err)
	}
	if err := os.Rename(part, path); err != nil {
		return fmt.Errorf("recording %s: %w", path, err)
	}
	return nil
}

// record exposes the shot on a camera of 30,000 electrons and encodes it.
func (d demoShot) record(path string) error {
	c, err := curve.Find(d.curve)
	if err != nil {
		return err
	}
	site := synth.Photosite{FullWell: 30000, ReadE: 3, BaseISO: 800, ISO: d.iso, BaseCeiling: curve.Stops(6).Light()}
	cam := synth.NewCamera(demoWidth, demoHeight, c)
	cam.Noise, cam.Ceiling, cam.Grain = site.Noise(), site.Ceiling(), synth.Shared
	cam.Pattern = synth.Pattern{Seed: 5, PRNU: 0.004, Rows: cam.Noise.Read / 12}
	if d.how.Codec == synth.HEVC && d.how.LongGOP {
		cam.Sampling = synth.S420
	}
	shot := d.shot
	shot.Scene, shot.Frames, shot.Seed, shot.RateNum = d.scene(demoWidth, demoHeight), demoFrames, 1, 25
	d.how.Timecode, d.how.Metadata = d.clock, demoKeys[d.curve]
	_, err = synth.Record(path, cam, shot, d.how)
	return err
}
