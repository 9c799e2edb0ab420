package decode

import (
	"context"
	"path/filepath"
	"testing"
)

// BenchmarkRead decodes clips without looking at the samples; MB/s are of decoded samples.
func BenchmarkRead(b *testing.B) {
	for _, c := range []testClip{
		{name: "ProRes 422 HQ 1920x1080", file: "bench-prores.mov", size: "1920x1080", frames: 24,
			encode: "-pix_fmt yuv422p10le -c:v prores_ks -profile:v hq"},
		{name: "ProRes 422 HQ 3840x2160", file: "bench-prores-uhd.mov", size: "3840x2160", frames: 8,
			encode: "-pix_fmt yuv422p10le -c:v prores_ks -profile:v hq"},
		{name: "HEVC 4:2:2 10 long GOP 3840x2160", file: "bench-hevc-uhd.mp4", size: "3840x2160", frames: 12,
			encode: "-pix_fmt yuv422p10le -c:v libx265 -preset ultrafast -b:v 100M -x265-params log-level=none"},
	} {
		b.Run(c.name, func(b *testing.B) {
			path := filepath.Clean(c.make(b))
			clip := mustOpen(b, path)
			i := clip.Info()
			b.SetBytes(int64(i.Width) * int64(i.Height) * 4 * int64(c.frames))
			for b.Loop() {
				if err := clip.Read(context.Background(), ReadOptions{}, func(*Frame) error { return nil }); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(c.frames*b.N)/b.Elapsed().Seconds(), "frames/s")
		})
	}
}
