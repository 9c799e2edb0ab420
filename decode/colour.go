package decode

import (
	"strings"

	"github.com/asticode/go-astiav"
)

// colourTags are what a stream or a frame is tagged as, in the codes of ITU-T H.273.
type colourTags struct {
	reach     astiav.ColorRange
	matrix    astiav.ColorSpace
	transfer  astiav.ColorTransferCharacteristic
	primaries astiav.ColorPrimaries
}

func colourTagsOf(p *astiav.CodecParameters) colourTags {
	return colourTags{p.ColorRange(), p.ColorSpace(), p.ColorTransferCharacteristic(), p.ColorPrimaries()}
}

// name fills in the names of the tags that are set; those set already stay.
func (t colourTags) name(i *Info) {
	fill := func(field *string, name string) {
		if *field == "" {
			*field = name
		}
	}
	if strings.HasPrefix(i.PixelFormat, "yuvj") {
		fill(&i.Range, "full") // that is what FFmpeg's yuvj formats mean
	}
	fill(&i.Range, ranges[t.reach])
	fill(&i.Matrix, matrices[t.matrix])
	fill(&i.Transfer, transfers[t.transfer])
	fill(&i.Primaries, primaries[t.primaries])
}

var ranges = map[astiav.ColorRange]string{
	astiav.ColorRangeMpeg: "narrow",
	astiav.ColorRangeJpeg: "full",
}

var matrices = map[astiav.ColorSpace]string{
	astiav.ColorSpaceRgb:       "rgb",
	astiav.ColorSpaceBt709:     "bt709",
	astiav.ColorSpaceBt470Bg:   "bt601",
	astiav.ColorSpaceSmpte170M: "bt601",
	astiav.ColorSpaceBt2020Ncl: "bt2020",
}

// transfers and primaries carry the names of ITU-T H.273's tables as FFmpeg writes them.
var transfers = map[astiav.ColorTransferCharacteristic]string{
	astiav.ColorTransferCharacteristicBt709:      "bt709",
	astiav.ColorTransferCharacteristicGamma22:    "bt470m",
	astiav.ColorTransferCharacteristicGamma28:    "bt470bg",
	astiav.ColorTransferCharacteristicSmpte170M:  "smpte170m",
	astiav.ColorTransferCharacteristicSmpte240M:  "smpte240m",
	astiav.ColorTransferCharacteristicLinear:     "linear",
	astiav.ColorTransferCharacteristicLog:        "log100",
	astiav.ColorTransferCharacteristicLogSqrt:    "log316",
	astiav.ColorTransferCharacteristicIec6196624: "iec61966-2-4",
	astiav.ColorTransferCharacteristicBt1361Ecg:  "bt1361e",
	astiav.ColorTransferCharacteristicIec6196621: "iec61966-2-1",
	astiav.ColorTransferCharacteristicBt202010:   "bt2020-10",
	astiav.ColorTransferCharacteristicBt202012:   "bt2020-12",
	astiav.ColorTransferCharacteristicSmpte2084:  "smpte2084",
	astiav.ColorTransferCharacteristicSmpte428:   "smpte428",
	astiav.ColorTransferCharacteristicAribStdB67: "arib-std-b67",
}

var primaries = map[astiav.ColorPrimaries]string{
	astiav.ColorPrimariesBt709:     "bt709",
	astiav.ColorPrimariesBt470M:    "bt470m",
	astiav.ColorPrimariesBt470Bg:   "bt470bg",
	astiav.ColorPrimariesSmpte170M: "smpte170m",
	astiav.ColorPrimariesSmpte240M: "smpte240m",
	astiav.ColorPrimariesFilm:      "film",
	astiav.ColorPrimariesBt2020:    "bt2020",
	astiav.ColorPrimariesSmpte428:  "smpte428",
	astiav.ColorPrimariesSmpte431:  "smpte431",
	astiav.ColorPrimariesSmpte432:  "smpte432",
}
