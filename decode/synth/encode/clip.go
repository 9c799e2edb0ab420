package encode

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/asticode/go-astiav"

	"stopledger/decode"
)

// A Clip is one file being written under a temporary name.
type Clip struct {
	path, temporary string
	encoder         *encoder
	muxer           *astiav.FormatContext
	stream          *astiav.Stream
}

// NewClip begins a file with a container of FFmpeg's name.
func NewClip(path, container string, e Settings) (_ *Clip, err error) {
	c := &Clip{path: path, temporary: filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".part")}
	defer func() {
		if err != nil {
			c.Abandon()
		}
	}()
	c.muxer, err = astiav.AllocOutputFormatContext(nil, container, c.temporary)
	if err != nil || c.muxer == nil {
		return nil, fmt.Errorf("container %s: %w", container, err)
	}
	global := c.muxer.OutputFormat().Flags().Has(astiav.IOFormatFlagGlobalheader)
	if c.encoder, err = newEncoder(e, global); err != nil {
		return nil, err
	}
	if c.stream = c.muxer.NewStream(nil); c.stream == nil {
		return nil, fmt.Errorf("container %s takes no video", container)
	}
	if err = c.encoder.context.ToCodecParameters(c.stream.CodecParameters()); err != nil {
		return nil, err
	}
	c.stream.SetTimeBase(c.encoder.context.TimeBase())
	c.stream.SetAvgFrameRate(c.encoder.context.Framerate())
	if err = openFile(c.muxer, c.temporary); err != nil {
		return nil, fmt.Errorf("creating the file: %w", err)
	}
	return c, c.writeHeader(e)
}

func (c *Clip) writeHeader(e Settings) error {
	options := map[string]string{}
	if name := c.muxer.OutputFormat().Name(); name == "mov" || name == "mp4" {
		if len(e.Metadata) > 0 {
			options["movflags"] = "use_metadata_tags" // any key, not just the classic four-letter ones
		}
		if e.Timecode != "" {
			options["write_tmcd"] = "1" // mp4 leaves the timecode track out otherwise
		}
	}
	for k, v := range e.Metadata {
		if err := setMetadata(c.muxer, k, v); err != nil {
			return err
		}
	}
	if e.Timecode != "" {
		if err := setMetadata(c.muxer, "timecode", e.Timecode); err != nil {
			return err
		}
	}
	d, err := dictionary(options)
	if err != nil {
		return err
	}
	defer d.Free()
	if err := c.muxer.WriteHeader(d); err != nil {
		return fmt.Errorf("writing the header: %w", err)
	}
	return nil
}

func (c *Clip) write(p *astiav.Packet) error {
	p.SetStreamIndex(0)
	if p.Duration() == 0 {
		p.SetDuration(1)
	}
	p.RescaleTs(c.encoder.context.TimeBase(), c.stream.TimeBase())
	if err := c.muxer.WriteInterleavedFrame(p); err != nil {
		return fmt.Errorf("writing: %w", err)
	}
	return nil
}

// Add writes the next frame.
func (c *Clip) Add(f *decode.Frame) error { return c.encoder.encode(f, c.write) }

// Finish completes the file and gives it its name.
func (c *Clip) Finish() error {
	if err := c.encoder.send(nil, c.write); err != nil {
		return err
	}
	if err := c.muxer.WriteTrailer(); err != nil {
		return fmt.Errorf("writing the trailer: %w", err)
	}
	if err := closeFile(c.muxer); err != nil {
		return fmt.Errorf("closing: %w", err)
	}
	c.free()
	return publish(c.temporary, c.path)
}

func (c *Clip) free() {
	if c.encoder != nil {
		c.encoder.free()
		c.encoder = nil
	}
	if c.muxer != nil {
		closeFile(c.muxer)
		c.muxer.Free()
		c.muxer = nil
	}
}

// Abandon removes what was written.
func (c *Clip) Abandon() {
	c.free()
	os.Remove(c.temporary)
}

// publish brings a finished file to the disk and gives it its name.
func publish(temporary, path string) error {
	f, err := os.Open(temporary)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil {
		return err
	}
	return os.Rename(temporary, path)
}
