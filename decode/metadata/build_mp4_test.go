package metadata

import "encoding/binary"

// Builders of MP4 and QuickTime boxes, written from ISO/IEC 14496-12 and the QuickTime File Format
// Specification.

func mp4(kind string, body ...[]byte) []byte {
	b := join(body...)
	return join(u32(8+len(b)), []byte(kind), b)
}

// full is a box with a version and flags of zero.
func full(kind string, body ...[]byte) []byte { return mp4(kind, u32(0), join(body...)) }

func handlerBox(kind string) []byte { return full("hdlr", u32(0), []byte(kind), make([]byte, 13)) }

var ftyp = mp4("ftyp", []byte("qt  "), u32(0), []byte("qt  "))

// stbl is a table of samples in chunks of perChunk, the first chunk at offset at, chunks with gap
// bytes between them.
func stbl(entry []byte, sizes []int, perChunk, at, gap int) []byte {
	var sizeTable, chunkTable []byte
	chunks := 0
	for i, size := range sizes {
		if i%perChunk == 0 {
			if i > 0 {
				at += gap
			}
			chunkTable = append(chunkTable, u32(at)...)
			chunks++
		}
		sizeTable = append(sizeTable, u32(size)...)
		at += size
	}
	runs := join(u32(1), u32(perChunk), u32(1))
	count := 1
	if left := len(sizes) % perChunk; left > 0 && chunks > 1 {
		runs, count = join(runs, u32(chunks), u32(left), u32(1)), 2
	}
	return mp4("stbl",
		full("stsd", u32(1), entry),
		full("stts", u32(1), u32(len(sizes)), u32(1)),
		full("stsc", u32(count), runs),
		full("stsz", u32(0), u32(len(sizes)), sizeTable),
		full("stco", u32(chunks), chunkTable))
}

func track(handler string, stbl []byte, more ...[]byte) []byte {
	timing := join(u32(0), u32(0), u32(25), u32(100), u32(0)) // creation, change, scale, duration, language
	head := join(u32(0), u32(0), u32(1), u32(0), u32(100), make([]byte, 60))
	return mp4("trak", full("tkhd", head),
		mp4("mdia", full("mdhd", timing), handlerBox(handler), mp4("minf", stbl)), join(more...))
}

var rtmdEntry = mp4("rtmd", make([]byte, 6), u16(1))

// rtmdClip is a file of samples in an rtmd track, three to a chunk with other bytes between the
// chunks, and further boxes inside moov.
func rtmdClip(samples [][]byte, moov ...[]byte) []byte {
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
	table := stbl(rtmdEntry, sizes, perChunk, len(ftyp)+8, gap)
	return join(ftyp, mp4("mdat", media), mp4("moov", movieHeader(), track("meta", table), join(moov...)))
}

func movieHeader() []byte {
	return full("mvhd", u32(0), u32(0), u32(25), u32(100), make([]byte, 80))
}

// clip is a file with boxes in moov and no samples.
func clip(moov ...[]byte) []byte { return join(ftyp, mp4("moov", movieHeader(), join(moov...))) }

// visualTrack is a picture track whose sample entry holds boxes.
func visualTrack(boxes ...[]byte) []byte {
	entry := mp4("apch", make([]byte, visualHeader), join(boxes...))
	return track("vide", stbl(entry, nil, 1, 0, 0))
}

// A typedValue is a value of a key with its well-known type.
type typedValue struct {
	name string
	kind int
	data []byte
}

// mdtaBody is what a meta box of keys holds.
func mdtaBody(values ...typedValue) []byte {
	var keys, list []byte
	for i, v := range values {
		keys = append(keys, mp4("mdta", []byte(v.name))...)
		index := string(binary.BigEndian.AppendUint32(nil, uint32(i+1)))
		list = append(list, mp4(index, mp4("data", u32(v.kind), u32(0), v.data))...)
	}
	return join(handlerBox("mdta"), full("keys", u32(len(values)), keys), mp4("ilst", list))
}

// mdtaMeta is a meta box as QuickTime writes it.
func mdtaMeta(values ...typedValue) []byte { return mp4("meta", mdtaBody(values...)) }

func textKey(name, v string) typedValue { return typedValue{name, 1, []byte(v)} }

// nrtmMeta is the meta box at the top of a file that holds clip XML.
func nrtmMeta(xml []byte) []byte { return full("meta", handlerBox("nrtm"), full("xml ", xml)) }
