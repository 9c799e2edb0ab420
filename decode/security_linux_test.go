package decode

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
)

// A tripwire notices connections to a local port and the opening of any file in its folder.
type tripwire struct {
	address     string // of the listener, host:port
	connections atomic.Int32
	folder      string
	canary      string // a sound clip in the folder
	inotify     int
}

func newTripwire(t *testing.T) *tripwire {
	t.Helper()
	w := &tripwire{folder: t.TempDir()}
	w.canary = filepath.Join(w.folder, "canary.mov")
	copyFile(t, clipNamed(t, "prores hq"), w.canary)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { listener.Close() })
	w.address = listener.Addr().String()
	go func() {
		for {
			c, err := listener.Accept()
			if err != nil {
				return
			}
			w.connections.Add(1)
			c.Close()
		}
	}()
	if w.inotify, err = syscall.InotifyInit1(syscall.IN_NONBLOCK | syscall.IN_CLOEXEC); err != nil {
		t.Skip(err)
	}
	t.Cleanup(func() { syscall.Close(w.inotify) })
	if _, err := syscall.InotifyAddWatch(w.inotify, w.folder, syscall.IN_OPEN); err != nil {
		t.Skip(err)
	}
	return w
}

// tripped says what was touched since it was last asked.
func (w *tripwire) tripped() string {
	var what []string
	if n := w.connections.Swap(0); n > 0 {
		what = append(what, fmt.Sprintf("%d connections", n))
	}
	events := make([]byte, 4096)
	if n, _ := syscall.Read(w.inotify, events); n > 0 {
		what = append(what, "a file opened")
	}
	return strings.Join(what, ", ")
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	content, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, content, 0o600); err != nil {
		t.Fatal(err)
	}
}

// A trap is a file that makes an unguarded reader go elsewhere. open are the ffmpeg program's
// arguments with which it does; without, ffmpeg has no way to be made to.
type trap struct {
	name, content string
	open          string
}

func traps(t *testing.T, w *tripwire) []trap {
	playlist := "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nhttp://" + w.address + "/a.ts\n#EXT-X-ENDLIST\n"
	local := "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nfile://" + w.canary + "\n#EXT-X-ENDLIST\n"
	dash := `<?xml version="1.0"?><MPD xmlns="urn:mpeg:dash:schema:mpd:2011" ` +
		`profiles="urn:mpeg:dash:profile:isoff-on-demand:2011" type="static" mediaPresentationDuration="PT1S"><Period>` +
		`<AdaptationSet mimeType="video/mp4"><Representation id="1" bandwidth="1"><BaseURL>http://` + w.address +
		`/a.mp4</BaseURL><SegmentBase/></Representation></AdaptationSet></Period></MPD>`
	concat := "ffconcat version 1.0\nfile '" + w.canary + "'\n"
	sdp := "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\n" +
		"m=video 5004 RTP/AVP 96\na=rtpmap:96 H264/90000\na=control:rtsp://" + w.address + "/\n"
	movie, err := os.ReadFile(w.canary)
	if err != nil {
		t.Fatal(err)
	}
	elsewhere := string(withAlias(t, movie, w.canary))
	web := "-protocol_whitelist file,http,tcp -i"
	return []trap{
		{"playlist.m3u8", playlist, web},
		{"playlist.mp4", playlist, "-protocol_whitelist file,http,tcp -f hls -i"},
		{"playlist.mov", local, "-protocol_whitelist file -allowed_extensions ALL -f hls -i"},
		{"script.ffconcat", concat, "-safe 0 -i"},
		{"script.mov", concat, "-safe 0 -f concat -i"},
		{"session.sdp", sdp, ""},
		{"dash.mpd", dash, web},
		{"dash.mp4", dash, web},
		{"elsewhere.mov", elsewhere, "-enable_drefs 1 -use_absolute_path 1 -i"},
		{"list.txt", "file '" + w.canary + "'\n", "-safe 0 -f concat -i"},
	}
}

// TestFilesLeadNowhere opens files that refer to other files and addresses. Each is also given
// to the ffmpeg program with its guards off, to see that the trap works.
func TestFilesLeadNowhere(t *testing.T) {
	w := newTripwire(t)
	for _, trap := range traps(t, w) {
		t.Run(trap.name, func(t *testing.T) {
			path := write(t, trap.name, []byte(trap.content))
			w.tripped()
			c, err := Open(path)
			if err == nil {
				_, err = readDigests(t, c, ReadOptions{})
				c.Close()
			}
			t.Log(err)
			if what := w.tripped(); what != "" {
				t.Error(what)
			}
			var e *ClipError
			if d := damageOf(err); !errors.As(err, &e) && (d == nil || d.Frames > 0) {
				t.Errorf("error is %v", err)
			}
			if trap.open == "" {
				return
			}
			args := append(strings.Fields(trap.open), path, "-f", "null", "-")
			exec.Command("ffmpeg", append([]string{"-v", "quiet", "-nostdin"}, args...)...).Run()
			if w.tripped() == "" {
				t.Error("the trap does not work even with ffmpeg's guards off")
			}
		})
	}
}

// TestNamesAreJustNames opens clips whose names mean something to FFmpeg, and names that are
// addresses.
func TestNamesAreJustNames(t *testing.T) {
	w := newTripwire(t)
	movie, still := clipNamed(t, "prores hq"), filepath.Join(t.TempDir(), "a.png")
	ffmpeg(t, "-f", "lavfi", "-i", "testsrc2=s=32x32", "-frames:v", "1", still)
	t.Chdir(t.TempDir())
	for _, name := range []string{
		"concat:canary.mov|b.mov", "subfile,,start,0,end,10,,:canary.mov", "file:canary.mov", "pipe:0", "-i", "-version.mov",
		"http:x.mov", "data:video;base64,AAAA.mov", "crypto:canary.mov", "a%d.mov", "a%04d.mxf", "*.mov", "a?[b]{c,d}.mov",
		"a\nb.mov", "a\xff\xfe.mov", " .mov", "'\"$(x)`.mov", "playlist.m3u8", "concat:a%d.png",
		"b*.png", "tee:x.dpx.mov", "async:x.mov", "c\\d.mov",
	} {
		from, frames := movie, 30
		if filepath.Ext(name) == ".png" {
			from, frames = still, 1
		}
		copyFile(t, from, name)
		w.tripped()
		seen, err := readDigests(t, mustOpen(t, name), ReadOptions{})
		if err != nil || len(seen) != frames {
			t.Errorf("%q: %d frames, %v", name, len(seen), err)
		}
	}
	for _, name := range []string{
		"http://" + w.address + "/a.mov", "tcp://" + w.address, "concat:" + w.canary + "|" + w.canary,
		"subfile,,start,0,end,0,,:" + w.canary,
		"file:" + w.canary, "http://" + w.address + "/a%d.dpx", w.folder + "/*.mov",
		w.folder + "/canar%c.mov", "rtsp://" + w.address + "/a", "data:text/plain,x", "pipe:",
	} {
		if _, err := Open(name); !errors.Is(err, ErrUnreadable) {
			t.Errorf("%q: %v", name, err)
		}
	}
	if what := w.tripped(); what != "" {
		t.Error(what)
	}
}

// TestPipesAreNotOpened gives a pipe that nobody writes to; reading it would wait for ever.
func TestPipesAreNotOpened(t *testing.T) {
	for _, name := range []string{"a.mov", "a.dpx"} {
		path := filepath.Join(t.TempDir(), name)
		if err := syscall.Mkfifo(path, 0o600); err != nil {
			t.Skip(err)
		}
		if _, err := Open(path); !errors.Is(err, ErrUnreadable) {
			t.Error(err)
		}
	}
}

// TestNoPermission opens a file that may not be read.
func TestNoPermission(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("the superuser may read everything")
	}
	path := write(t, "a.mov", []byte("x"))
	if err := os.Chmod(path, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(path); !errors.Is(err, ErrUnreadable) || !errors.Is(err, os.ErrPermission) {
		t.Error(err)
	}
}

// withAlias changes a movie's data reference into an alias record that points to another file
// (Inside Macintosh: Files, alias records; as FFmpeg's libavformat/mov.c reads it).
func withAlias(t *testing.T, movie []byte, target string) []byte {
	t.Helper()
	word := func(n int) []byte { return binary.BigEndian.AppendUint16(nil, uint16(n)) }
	record := make([]byte, 10+1+27+12+1+63+16)
	record = append(record, word(0)...) // levels up and down to the target, for a relative path
	record = append(record, word(0)...)
	record = append(record, make([]byte, 16)...)
	padded := target
	if len(padded)%2 == 1 {
		padded += "\x00"
	}
	record = append(append(append(record, word(2)...), word(len(padded))...), padded...) // 2: absolute path
	record = append(append(record, word(0xffff)...), word(0)...)
	entry := append([]byte("alis\x00\x00\x00\x00"), record...)
	entry = append(binary.BigEndian.AppendUint32(nil, uint32(4+len(entry))), entry...)

	dref := bytes.Index(movie, []byte("dref"))
	self := dref + 12 // past name, version and count
	if kind := string(movie[self+4 : self+8]); dref < 0 || kind != "url " && kind != "alis" {
		t.Fatal("the movie has no reference to itself")
	}
	old := int(binary.BigEndian.Uint32(movie[self:]))
	out := append(append(append([]byte{}, movie[:self]...), entry...), movie[self+old:]...)
	for _, box := range []string{"moov", "trak", "mdia", "minf", "dinf", "dref"} {
		at := bytes.LastIndex(out[:dref+4], []byte(box)) - 4
		size := binary.BigEndian.Uint32(out[at:])
		binary.BigEndian.PutUint32(out[at:], size+uint32(len(entry)-old))
	}
	return out
}
