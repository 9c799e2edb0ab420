package detect

import (
	"context"
	"syscall"
	"testing"
	"time"

	"stopledger/curve"
	"stopledger/decode"
	"stopledger/testdata/footage"
)

// BenchmarkPhotograph is the same for real pictures, which have none.
func BenchmarkPhotograph(b *testing.B) {
	for _, name := range []string{"negatives/trees_S30.jpg", "negatives/butterfly_DX4330.jpg",
		"faces/group_A70.jpg", "faces/man_on_bench_T3i.jpg"} {
		b.Run(name, func(b *testing.B) {
			f, r, m := jpegFrame(b, name)
			b.ResetTimer()
			start := processorTime()
			for range b.N {
				Look(f, r, m, Options{SkipFaces: true})
			}
			pixels := float64(f.Planes[0].Width * f.Planes[0].Height)
			ms := (processorTime() - start).Seconds() * 1000 / float64(b.N)
			b.ReportMetric(ms, "cpu-ms/op")
			b.ReportMetric(ms*1920*1080/pixels, "cpu-ms/1080p")
		})
	}
}

// BenchmarkFootage is the same for 1920x1080 frames of a phone's clip: roofs, leaves, sky.
func BenchmarkFootage(b *testing.B) {
	clip, err := decode.Open(footage.Path(b, "video/phone-rooftops-hlg-cut.mov"))
	if err != nil {
		b.Fatal(err)
	}
	defer clip.Close()
	var frame *decode.Frame
	err = clip.Read(context.Background(), decode.ReadOptions{Spans: []decode.Span{{First: 0, Count: 1}}},
		func(f *decode.Frame) error {
			f.Keep()
			frame = f
			return nil
		})
	if err != nil || frame == nil {
		b.Fatal(err)
	}
	defer frame.Release()
	hlg, err := curve.Find("HLG")
	if err != nil {
		b.Fatal(err)
	}
	r := curve.Reading{Curve: hlg, Range: curve.Narrow, Bits: frame.Bits}
	b.ResetTimer()
	start := processorTime()
	for range b.N {
		Look(frame, r, curve.BT2020, Options{SkipFaces: true})
	}
	b.ReportMetric((processorTime()-start).Seconds()*1000/float64(b.N), "cpu-ms/op")
}

func processorTime() time.Duration {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
