package decode

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
)

// dpxHeader reads frame rate and timecode of a DPX file's television header, or else the rate
// of its film header (SMPTE ST 268-1, file format for digital moving-picture exchange, tables of
// header fields: film frame rate at byte 1724, timecode at 1920, television frame rate at 1940;
// offsets from memory, and as FFmpeg writes and reads them). Zero and "" where it says nothing.
func dpxHeader(path string) (rateNum, rateDen int, timecode string) {
	f, err := os.Open(path)
	if err != nil {
		return 0, 0, ""
	}
	defer f.Close()
	header := make([]byte, 2048)
	if _, err := io.ReadFull(f, header); err != nil {
		return 0, 0, ""
	}
	var order binary.ByteOrder = binary.BigEndian
	switch string(header[:4]) {
	case "XPDS":
		order = binary.LittleEndian
	case "SDPX":
	default:
		return 0, 0, ""
	}
	float := func(at int) float64 { return float64(math.Float32frombits(order.Uint32(header[at:]))) }
	rateNum, rateDen = properRate(float(1940))
	if rateNum == 0 {
		rateNum, rateDen = properRate(float(1724))
	}
	return rateNum, rateDen, packedTimecode(order.Uint32(header[1920:]))
}

// properRate turns a rate in floating point into a whole number or one divided by 1.001;
// zero if it is neither, or not between 1 and 1000.
func properRate(rate float64) (num, den int) {
	const tolerance = 2e-4 // 23.98 is meant to be 24000/1001 = 23.976
	near := func(x float64) bool { return math.Abs(rate/x-1) < tolerance }
	switch whole, slowed := math.Round(rate), math.Round(rate*1.001); {
	case !(rate >= 1-tolerance && rate <= 1000):
		return 0, 0
	case near(whole):
		return int(whole), 1
	case near(slowed / 1.001):
		return int(slowed) * 1000, 1001
	}
	return 0, 0
}

// packedTimecode reads eight decimal digits HHMMSSFF, "" if they are not a time.
func packedTimecode(word uint32) string {
	digits := fmt.Sprintf("%08x", word)
	var part [4]int
	for i := range part {
		n, err := strconv.Atoi(digits[2*i : 2*i+2])
		if err != nil {
			return ""
		}
		part[i] = n
	}
	if part[0] > 23 || part[1] > 59 || part[2] > 59 {
		return ""
	}
	return fmt.Sprintf("%02d:%02d:%02d:%02d", part[0], part[1], part[2], part[3])
}
