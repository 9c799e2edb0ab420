package container

import (
	"testing"

	"stopledger/decode/metadata/build"
)

// What a reader takes of a file does not grow with its pictures: settings stand in tables and near
// the frames looked at.
func TestPicturesAreNotRead(t *testing.T) {
	const pictures, most = 64 << 20, 1 << 20
	sets := build.WorkedSample()[28:]
	for name, p := range map[string][]byte{
		"boxes": build.Join(build.FileType, build.MP4("free", make([]byte, pictures)),
			build.RTMDClip([][]byte{build.WorkedSample()})[len(build.FileType):],
			build.ClipXML(build.NonRealTime("s-log3", "s-gamut3"))),
		"MXF without settings": build.Join(build.Partition(build.HeaderPackKey, build.CDCI(build.CameraLogS3, 64, 940, 897)),
			build.KLV(build.PictureKey, make([]byte, 1<<24-1)), build.KLV(build.PictureKey, make([]byte, 1<<24-1))),
		"another container": make([]byte, pictures),
	} {
		s := sourceOf(p)
		gather(s, "")
		if read := maxBudget - s.left; read > most {
			t.Errorf("%s: %d bytes read of %d", name, read, len(p))
		}
	}
	many := build.Join(build.Partition(build.HeaderPackKey, nil),
		build.ContentPackages([][]byte{sets, sets, sets, sets, sets, sets, sets, sets}, build.Carriers["MXF sets"], 1<<24-1))
	s := sourceOf(many)
	if gather(s, ""); maxBudget-s.left > laterPlaces*(laterWindow+1<<20) {
		t.Errorf("MXF: %d bytes read", maxBudget-s.left)
	}
}
