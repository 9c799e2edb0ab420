package decode

import (
	"errors"
	"math"
	"os"
	"slices"
	"strings"

	"github.com/asticode/go-astiav"
)

// errGuessed says that the first packet does not tell what was guessed of a container.
var errGuessed = errors.New("the first frame cannot be decoded")

// probeContainer reads what a container says of itself. The first packet is decoded for what only
// frames say; of codecs that predict frames from others, that is the picture's size and format. The
// decoder is left to the first Read.
func probeContainer(path string, s *containerSource, in *input) (Info, error) {
	packets := s.peek(peekedPackets)
	first := in.firstPicture(packets[0])
	if s.guessed && (first == nil || in.decoder.ToCodecParameters(s.parameters()) != nil) {
		return Info{}, errGuessed
	}
	facts := codecFactsOf(s.parameters())
	i := Info{Path: path, Container: s.kind, Bytes: fileBytes(path), RotationDeg: rotation(s.stream), Tags: s.tags()}
	i.Timecode = i.Tags["timecode"]
	i.Truncated = s.end(path) > i.Bytes
	s.probeLength(&i)
	for _, packet := range packets {
		i.LongGOP = i.LongGOP || !facts.intraOnly && !packet.Flags().Has(astiav.PacketFlagKey)
	}
	if s.parameters().CodecID() == astiav.CodecIDFfv1 {
		i.LongGOP = false // its frames share probabilities, not pictures
	}
	return i, probeStream(&i, s.parameters(), first)
}

// peekedPackets are looked at to see whether frames are predicted from others.
const peekedPackets = 3

// probeStream fills in what the stream's parameters and its first picture, if there is one, say.
func probeStream(i *Info, p *astiav.CodecParameters, first *rawPicture) error {
	facts := codecFactsOf(p)
	i.Codec, i.Profile = p.CodecID().Name(), facts.profile
	i.Width, i.Height = p.Width(), p.Height()
	i.Interlaced = facts.interlaced
	code := p.PixelFormat()
	if first != nil { // FFmpeg's parameters may be those of a later picture
		code, i.Width, i.Height = first.format, first.width, first.height
	}
	if first != nil && facts.intraOnly {
		i.Interlaced = i.Interlaced || first.fields
	}
	format, err := readable(code)
	if err != nil {
		return err
	}
	if err := bounded(i.Width, i.Height); err != nil {
		return err
	}
	i.PixelFormat, i.Bits, i.Chroma, i.Layout = format.name, format.bits, format.chroma(), format.layout
	i.RawBits = i.Bits
	if facts.rawBits > 0 && facts.rawBits < i.Bits && code == p.PixelFormat() {
		i.RawBits = facts.rawBits
	}
	if i.Layout == RGB {
		i.Matrix = "rgb" // as FFmpeg 7.1 and later say of every RGB picture
	}
	colourTagsOf(p).name(i)
	if first != nil && facts.intraOnly {
		first.colour.name(i)
	}
	return nil
}

// firstPicture decodes the source's first packet, as decodeOne does, and leaves the decoder to a Read.
func (in *input) firstPicture(packet *astiav.Packet) *rawPicture {
	p := in.source.parameters()
	if first := headerOf(p, packet); first != nil {
		return first
	}
	decoder, err := in.takeDecoder(defaultThreads())
	if err != nil {
		return nil
	}
	first := decodeOne(decoder, packet)
	if first == nil {
		decoder.Free()
		return nil
	}
	flush(decoder)
	in.decoder = decoder
	return first
}

// headerOf reads a picture's size and format alone, of codecs of which no more is asked and whose decoder tells them
// without decoding it; nil where that fails.
func headerOf(p *astiav.CodecParameters, packet *astiav.Packet) *rawPicture {
	if !slices.Contains(headersAlone, p.CodecID().Name()) {
		return nil
	}
	decoder, err := newDecoder(p, 1, [2]string{"skip_frame", "all"})
	if err != nil {
		return nil
	}
	defer decoder.Free()
	if decoder.SendPacket(packet) != nil || decoder.Width() == 0 || decoder.PixelFormat() == astiav.PixelFormatNone {
		return nil
	}
	return &rawPicture{width: decoder.Width(), height: decoder.Height(), format: decoder.PixelFormat()}
}

// decodeOne decodes one packet that needs no other; nil if that fails. What is returned has no
// samples.
func decodeOne(decoder *astiav.CodecContext, packet *astiav.Packet) *rawPicture {
	frame := astiav.AllocFrame()
	defer frame.Free()
	if decoder.SendPacket(packet) != nil || decoder.SendPacket(nil) != nil || decoder.ReceiveFrame(frame) != nil {
		return nil
	}
	picture := rawPictureOf(frame)
	picture.data = rawPicture{}.data
	return &picture
}

// probeLength fills in rate, count and duration.
func (s *containerSource) probeLength(i *Info) {
	rate, nominal := s.stream.AvgFrameRate(), s.stream.RFrameRate()
	hidden := s.index != nil && s.shown() < len(s.index) // the mean counts frames that an edit list hides
	if hidden || rate.Num() <= 0 || rate.Den() <= 0 || tickRate(s, rate) && nominal.Float64() < rate.Float64() {
		rate = nominal
	}
	if s.kind == "mxf" && s.stream.TimeBase().Num() > 0 { // an edit unit, which is a frame
		rate = astiav.NewRational(s.stream.TimeBase().Den(), s.stream.TimeBase().Num())
	}
	if rate.Num() > 0 && rate.Den() > 0 {
		i.RateNum, i.RateDen = rate.Num(), rate.Den()
	}
	if d := s.stream.Duration(); d > 0 {
		i.DurationS = float64(d) * s.stream.TimeBase().Float64()
	} else if d := s.format.Duration(); d > 0 {
		i.DurationS = float64(d) / 1e6 // AV_TIME_BASE
		if s.kind == "matroska" {      // where it is the time of the end
			i.DurationS -= float64(s.start()) * s.stream.TimeBase().Float64()
		}
	}
	if !(i.DurationS > 0) {
		i.DurationS = 0
	}
	if i.Frames = s.shown(); i.Frames <= 0 {
		i.Frames = int(min(math.Round(i.DurationS*i.FrameRate()), math.MaxInt32))
	}
}

// tickRate tells a mean that is only the time base, in milliseconds or finer, from a frame rate.
func tickRate(s *containerSource, rate astiav.Rational) bool {
	base := s.stream.TimeBase()
	return base.Den() >= 1000*base.Num() && rate.Num()*base.Num() == rate.Den()*base.Den()
}

// tags merges the metadata of the file, the stream and, for a timecode, the other streams.
func (s *containerSource) tags() map[string]string {
	tags := map[string]string{}
	merge(tags, s.format.Metadata())
	merge(tags, s.stream.Metadata())
	for _, other := range s.format.Streams() {
		theirs := map[string]string{}
		merge(theirs, other.Metadata())
		if t := theirs["timecode"]; t != "" && tags["timecode"] == "" {
			tags["timecode"] = t
		}
	}
	return tags
}

// merge adds a dictionary's entries whose keys are not there yet.
func merge(tags map[string]string, d *astiav.Dictionary) {
	if d == nil {
		return
	}
	every := astiav.NewDictionaryFlags(astiav.DictionaryFlagIgnoreSuffix)
	for e := d.Get("", nil, every); e != nil; e = d.Get("", e, every) {
		key := strings.ToLower(e.Key())
		if _, there := tags[key]; !there {
			tags[key] = strings.ToValidUTF8(e.Value(), "?")
		}
	}
}

func fileBytes(path string) int64 {
	stat, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return stat.Size()
}

// rotation returns the clockwise turn of the display matrix, in steps of 90 degrees.
func rotation(s *astiav.Stream) int {
	turn := displayTurn(s)
	if math.IsNaN(turn) {
		return 0
	}
	return (int(math.Round(turn/90))%4 + 4) % 4 * 90
}
