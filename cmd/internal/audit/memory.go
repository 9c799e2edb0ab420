package audit

import (
	"path/filepath"
	"strings"

	"stopledger/analyze"
	"stopledger/cmd/internal/worker"
	"stopledger/decode"
)

// A memory is what a step of one clip takes.
type memory struct {
	need  int64 // bytes as a rule, which other clips have to leave it
	limit int64 // bytes at most: more is a fault
}

// What a worker takes, as measured, rounded up: resident were 164 MiB for HEVC of 1920 x 1080, 312 MiB
// for ProRes of 3840 x 2160, 784 MiB to open and 832 MiB to measure a TIFF of 8192 x 8192 pixels,
// whose frame is 384 MiB.
const (
	processBytes = 160 << 20 // of the program with its threads
	jobBytes     = 512 << 20 // the share of the budget for each job: enough for frames of 3840 x 2160
	videoFrames  = 9         // decoded, being measured, of the codec itself, and one for pictures
	keptFrames   = 16        // from the scouting, of frames that are small
	stillFrames  = 2         // of a picture: as decoded, and its planes
	rowFrames    = 6.5       // of pictures in a row, of which a group's first and neighbours stay
	stillBytes   = 850 << 20 // to open a picture, whose size is not known before it is decoded
	dataBytes    = 1 << 30   // that the limit lies above twice the need: threads and heaps are mapped ahead
)

// budget returns how much memory all workers may need together: a share for each job, and half of
// what can be had at most.
func budget(jobs int) int64 {
	all := int64(jobs) * jobBytes
	if free := worker.Available(); free > 0 {
		all = min(all, free/2)
	}
	return max(all, jobBytes/2)
}

func memoryFor(need int64) memory { return memory{need, 2*need + dataBytes} }

// openingMemory is of a clip that nothing is known of but its name. A picture is decoded to be opened.
func openingMemory(path string) memory {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".dpx", ".tif", ".tiff", ".png", ".jpg", ".jpeg":
		return memoryFor(stillBytes)
	}
	return memoryFor(processBytes)
}

// measuringMemory is of a clip whose frames are known.
func measuringMemory(i decode.Info) memory {
	samples := 3.0
	switch i.Chroma {
	case "4:2:0":
		samples = 1.5
	case "4:2:2":
		samples = 2
	case "gray":
		samples = 1
	}
	frames := float64(videoFrames)
	switch {
	case isPictures(i) && i.Frames > 1:
		frames = rowFrames
	case isPictures(i):
		frames = stillFrames
	}
	const sampleBytes = 2
	frame := samples * sampleBytes * float64(i.Width) * float64(i.Height)
	return memoryFor(processBytes + int64(min(keptFrames*frame, analyze.HeldBytes)+frames*frame))
}
