package decode

import (
	"strings"
	"testing"

	"github.com/asticode/go-astiav"
)

// TestAllowedNames checks that every name allowed is one FFmpeg knows, and that none reads others.
func TestAllowedNames(t *testing.T) {
	for _, name := range containers {
		if astiav.FindInputFormat(name) == nil {
			t.Errorf("there is no demuxer %s", name)
		}
		for _, leads := range []string{"hls", "dash", "concat", "sdp", "rtsp", "rtp", "image2", "lavfi", "imf",
			"tedcaptions", "webm_dash_manifest", "applehttp"} {
			if strings.Contains(name, leads) {
				t.Errorf("%s opens other files or addresses", name)
			}
		}
	}
	for _, name := range codecs {
		if libraryMajor >= 63 && (name == "v308" || name == "v408" || name == "v410") {
			continue // FFmpeg 9 reads them as raw video
		}
		if astiav.FindDecoderByName(name) == nil {
			t.Errorf("there is no decoder %s", name)
		}
	}
	for _, name := range framesAtOnce {
		if astiav.FindDecoderByName(name) == nil {
			t.Errorf("there is no decoder %s", name)
		}
	}
}
