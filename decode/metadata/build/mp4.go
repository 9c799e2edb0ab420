package build

import "encoding/binary"

// Boxes of MP4 and QuickTime, written from ISO/IEC 14496-12 and the QuickTime File Format
// Specification.

// MP4 returns a box of a kind.
func MP4(kind string, body ...[]byte) []byte {
	b := Join(body...)
	return Join(U32(8+len(b)), []byte(kind), b)
}

// Full returns a box with a version and flags of zero.
func Full(kind string, body ...[]byte) []byte { return MP4(kind, U32(0), Join(body...)) }

// Handler returns an hdlr box.
func Handler(kind string) []byte { return Full("hdlr", U32(0), []byte(kind), make([]byte, 13)) }

// FileType is a box that QuickTime files begin with.
var FileType = MP4("ftyp", []byte("qt  "), U32(0), []byte("qt  "))

// SampleTable returns a table of samples in chunks of perChunk, the first chunk at offset at, chunks with gap
// bytes between them.
func SampleTable(entry []byte, sizes []int, perChunk, at, gap int) []byte {
	var sizeTable, chunkTable []byte
	chunks := 0
	for i, size := range sizes {
		if i%perChunk == 0 {
			if i > 0 {
				at += gap
			}
			chunkTable = append(chunkTable, U32(at)...)
			chunks++
		}
		sizeTable = append(sizeTable, U32(size)...)
		at += size
	}
	runs := Join(U32(1), U32(perChunk), U32(1))
	count := 1
	if left := len(sizes) % perChunk; left > 0 && chunks > 1 {
		runs, count = Join(runs, U32(chunks), U32(left), U32(1)), 2
	}
	return MP4("stbl",
		Full("stsd", U32(1), entry),
		Full("stts", U32(1), U32(len(sizes)), U32(1)),
		Full("stsc", U32(count), runs),
		Full("stsz", U32(0), U32(len(sizes)), sizeTable),
		Full("stco", U32(chunks), chunkTable))
}

// Track returns a track of a handler, with further boxes.
func Track(handler string, stbl []byte, more ...[]byte) []byte {
	timing := Join(U32(0), U32(0), U32(25), U32(100), U32(0)) // creation, change, scale, duration, language
	head := Join(U32(0), U32(0), U32(1), U32(0), U32(100), make([]byte, 60))
	return MP4("trak", Full("tkhd", head),
		MP4("mdia", Full("mdhd", timing), Handler(handler), MP4("minf", stbl)), Join(more...))
}

// RTMDEntry is the sample entry of a track of real-time metadata.
var RTMDEntry = MP4("rtmd", make([]byte, 6), U16(1))

// RTMDClip returns a file of samples in an rtmd track, three to a chunk with other bytes between the
// chunks, and further boxes inside moov.
func RTMDClip(samples [][]byte, moov ...[]byte) []byte {
	const perChunk, gap = 3, 7
	var media []byte
	var sizes []int
	for i, s := range samples {
		if i > 0 && i%perChunk == 0 {
			media = append(media, make([]byte, gap)...)
		}
		media = append(media, s...)
		sizes = append(sizes, len(s))
	}
	table := SampleTable(RTMDEntry, sizes, perChunk, len(FileType)+8, gap)
	return Join(FileType, MP4("mdat", media), MP4("moov", MovieHeader(), Track("meta", table), Join(moov...)))
}

// MovieHeader returns an mvhd box.
func MovieHeader() []byte {
	return Full("mvhd", U32(0), U32(0), U32(25), U32(100), make([]byte, 80))
}

// Clip returns a file with boxes in moov and no samples.
func Clip(moov ...[]byte) []byte { return Join(FileType, MP4("moov", MovieHeader(), Join(moov...))) }

// VisualTrack returns a picture track whose sample entry holds boxes.
func VisualTrack(boxes ...[]byte) []byte {
	// 78 bytes of a visual sample entry come before its boxes (ISO/IEC 14496-12, 12.1.3).
	entry := MP4("apch", make([]byte, 78), Join(boxes...))
	return Track("vide", SampleTable(entry, nil, 1, 0, 0))
}

// A TypedValue is a value of a key with its well-known type.
type TypedValue struct {
	Name string // of the key
	Type int    // well-known type of the value
	Data []byte // the value
}

// KeysBody returns what a meta box of keys holds.
func KeysBody(values ...TypedValue) []byte {
	var keys, list []byte
	for i, v := range values {
		keys = append(keys, MP4("mdta", []byte(v.Name))...)
		index := string(binary.BigEndian.AppendUint32(nil, uint32(i+1)))
		list = append(list, MP4(index, MP4("data", U32(v.Type), U32(0), v.Data))...)
	}
	return Join(Handler("mdta"), Full("keys", U32(len(values)), keys), MP4("ilst", list))
}

// Keys returns a meta box as QuickTime writes it.
func Keys(values ...TypedValue) []byte { return MP4("meta", KeysBody(values...)) }

// TypedKey returns a value of a well-known type.
func TypedKey(name string, kind int, data []byte) TypedValue { return TypedValue{name, kind, data} }

// TextKey returns a value of UTF-8 text.
func TextKey(name, v string) TypedValue { return TypedValue{name, 1, []byte(v)} }

// ClipXML returns the meta box at the top of a file that holds clip XML.
func ClipXML(xml []byte) []byte { return Full("meta", Handler("nrtm"), Full("xml ", xml)) }
