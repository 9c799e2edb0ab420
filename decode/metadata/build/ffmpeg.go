package build

import (
	"encoding/json"
	"os/exec"
	"path/filepath"
	"testing"
)

// FFmpeg has the ffmpeg command write a test picture to a file of a name, and returns its path.
func FFmpeg(t *testing.T, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("ffmpeg is not here")
	}
	path := filepath.Join(t.TempDir(), name)
	source := []string{"-v", "error", "-y", "-f", "lavfi", "-i", "testsrc2=s=160x96:r=25:d=0.4"}
	out, err := exec.Command("ffmpeg", append(append(source, args...), path)...).CombinedOutput()
	if err != nil {
		t.Fatalf("ffmpeg %v: %v\n%s", args, err, out)
	}
	return path
}

// Probed is what the ffprobe command tells of a file.
type Probed struct {
	Packets []struct{ Pos, Size string } // place and size of each
	// Streams are in the file's order.
	Streams []struct {
		Codec_tag_string string
		Tags             map[string]string
	}
	Format struct{ Tags map[string]string } // of the whole file
}

// FFprobe runs the ffprobe command.
func FFprobe(t *testing.T, path string, args ...string) (p Probed) {
	t.Helper()
	if _, err := exec.LookPath("ffprobe"); err != nil {
		t.Skip("ffprobe is not here")
	}
	out, err := exec.Command("ffprobe", append(append([]string{"-v", "error", "-of", "json"}, args...), path)...).Output()
	if err == nil {
		err = json.Unmarshal(out, &p)
	}
	if err != nil {
		t.Fatalf("ffprobe %s: %v", path, err)
	}
	return p
}
