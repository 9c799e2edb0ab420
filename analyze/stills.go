package analyze

import (
	"context"
	"image"
	"math"

	"stopledger/decode"
)

const (
	stillWidth  = 960 // pixels at most
	stripWidth  = 96  // pixels of the frame; shown at 400 %
	stripHeight = 64
	stripFrames = 6
	// waveform bins
	waveColumns = 480
	waveFirst   = -8.0 // percent
	waveStep    = 0.5
	waveLevels  = 240
)

// takeStills reads a few frames again, now that it is known where to look: one whole frame from
// the middle of the clip, and a dark area in consecutive frames.
func (m *measurement) takeStills(ctx context.Context, r *Result) error {
	middle := m.groups[len(m.groups)/2]
	at := m.firstFrame(middle)
	area := m.set.Shadows.Intersect(image.Rect(0, 0, m.grid.width, m.grid.height))
	if area.Empty() {
		area = m.shadowArea(middle, r)
	}
	taken := 0
	err := m.read(ctx, decode.ReadOptions{Spans: []decode.Span{{First: at, Count: stripFrames}}, Threads: m.set.Threads}, func(f *decode.Frame) error {
		if taken == 0 {
			step := (m.grid.width + stillWidth - 1) / stillWidth
			r.Stills.Frame = m.still(f, image.Rect(0, 0, m.grid.width, m.grid.height), step)
			r.Stills.Waveform = m.waveform(f)
		}
		if !area.Empty() {
			if r.Stills.Shadows == nil {
				r.Stills.Shadows = &Strip{SceneStops: m.shadowTone(middle, area, r)}
			}
			r.Stills.Shadows.Frames = append(r.Stills.Shadows.Frames, *m.still(f, area, 1))
		}
		taken++
		return nil
	})
	if err != nil && ctx.Err() == nil {
		return nil // pictures are no reason to lose the measurement
	}
	return err
}

// firstFrame returns the number of a group's first frame.
func (m *measurement) firstFrame(s *groupSums) int {
	if plan := m.plan(); plan != nil && s.group < len(plan) {
		return plan[s.group].First
	}
	return int(math.Round(s.t * m.info.FrameRate()))
}

// still renders part of a frame to scene-linear light, step x step pixels to one.
func (m *measurement) still(f *decode.Frame, area image.Rectangle, step int) *Still {
	s := &Still{Width: area.Dx() / step, Height: area.Dy() / step, T: f.Time, Scale: float64(step), X: area.Min.X, Y: area.Min.Y}
	n := s.Width * s.Height
	s.R, s.G, s.B = make([]float32, n), make([]float32, n), make([]float32, n)
	s.Code, s.Clipped = make([]uint16, n), make([]uint8, n)
	t := m.ceiling.thresholds(m.finder.chroma)
	scale := math.Exp2(float64(m.set.Reading.Bits) - 10)
	for y := range s.Height {
		for x := range s.Width {
			var light [3]float64
			var codes float64
			var clipped uint8
			for dy := range step {
				for dx := range step {
					luma, rgb := m.pixel(f, area.Min.X+x*step+dx, area.Min.Y+y*step+dy)
					codes += luma
					for i, v := range rgb {
						light[i] += m.lightOf(v)
						if int64(v*(1<<fixedBits)) >= t.limit[i] {
							clipped |= 1 << i
						}
					}
				}
			}
			pixels := float64(step * step)
			i := y*s.Width + x
			s.R[i], s.G[i], s.B[i] = float32(light[0]/pixels), float32(light[1]/pixels), float32(light[2]/pixels)
			s.Code[i] = uint16(math.Round(codes / pixels / scale))
			s.Clipped[i] = clipped
		}
	}
	return s
}

// lightOf returns the light of a channel's file code, which may lie outside the file's codes.
func (m *measurement) lightOf(code float64) float64 {
	if code >= 0 && code <= float64(len(m.table)-1) {
		i := int(code)
		part := code - float64(i)
		return m.table[i] + part*(m.table[min(i+1, len(m.table)-1)]-m.table[i])
	}
	return m.set.Reading.Linear(code)
}

// pixel returns luma and R', G', B' of one pixel as file codes.
func (m *measurement) pixel(f *decode.Frame, x, y int) (luma float64, rgb [3]float64) {
	first := float64(f.Planes[0].Row(y)[x])
	switch f.Layout {
	case decode.Gray:
		return first, [3]float64{first, first, first}
	case decode.RGB:
		rgb = [3]float64{first, float64(f.Planes[1].Row(y)[x]), float64(f.Planes[2].Row(y)[x])}
		k := m.set.Matrix
		return k.Kr*rgb[0] + k.Kg()*rgb[1] + k.Kb*rgb[2], rgb
	}
	cx, cy := min(x/f.SubX(), f.Planes[1].Width-1), min(y/f.SubY(), f.Planes[1].Height-1)
	rgb[0], rgb[1], rgb[2] = m.finder.chroma.RGB(first, float64(f.Planes[1].Row(cy)[cx]), float64(f.Planes[2].Row(cy)[cx]))
	return first, rgb
}

// waveform counts luma by column and percent.
func (m *measurement) waveform(f *decode.Frame) *Waveform {
	w := &Waveform{Columns: min(waveColumns, m.grid.width), Levels: waveLevels, First: waveFirst, Step: waveStep}
	w.Counts = make([]uint32, w.Columns*w.Levels)
	level := make([]int, len(m.table))
	for code := range level {
		bin := int(math.Floor((m.set.Reading.Percent(float64(code)) - w.First) / w.Step))
		level[code] = min(max(bin, 0), w.Levels-1)
	}
	luma := lumaPlanes{matrix: m.set.Matrix}
	plane := luma.of(f)
	for y := range plane.Height {
		for x, code := range plane.Row(y) {
			w.Counts[level[code]*w.Columns+x*w.Columns/plane.Width]++
		}
	}
	return w
}

// shadowArea returns the strip-sized area whose cells lie nearest to scene -4 stops with the
// least texture, empty where nothing dark holds together.
func (m *measurement) shadowArea(s *groupSums, r *Result) image.Rectangle {
	target := shadowStops + placementOr(r.Placement, 0)
	cols, rows := stripWidth/cellSize, stripHeight/cellSize
	best, found := math.Inf(1), image.Rectangle{}
	for row := 0; row+rows <= m.grid.height/cellSize; row++ {
		for col := 0; col+cols <= m.grid.width/cellSize; col++ {
			var miss float64
			for y := row; y < row+rows; y++ {
				for x := col; x < col+cols; x++ {
					d := m.cellStops(s, x, y) - target
					miss += d * d
				}
			}
			if miss < best {
				best = miss
				found = image.Rect(col, row, col+cols, row+rows)
			}
		}
	}
	// Two stops off on the mean square is no longer a shadow.
	if best > 4*float64(cols*rows) {
		return image.Rectangle{}
	}
	return image.Rect(found.Min.X*cellSize, found.Min.Y*cellSize, found.Max.X*cellSize, found.Max.Y*cellSize)
}

func (m *measurement) cellStops(s *groupSums, col, row int) float64 {
	code := float64(s.cells[row*m.grid.cols+col].sum) / float64(s.frames*m.grid.pixels(col, row))
	return math.Max(m.set.Reading.Stops(code), darkest)
}

// shadowTone returns the mean scene stops of the cells that an area touches.
func (m *measurement) shadowTone(s *groupSums, area image.Rectangle, r *Result) float64 {
	var sum, n float64
	for y := area.Min.Y / cellSize; y*cellSize < area.Max.Y; y++ {
		for x := area.Min.X / cellSize; x*cellSize < area.Max.X; x++ {
			sum += m.cellStops(s, x, y)
			n++
		}
	}
	return sum/n - placementOr(r.Placement, 0)
}

// placementOr returns the placement, or other where it is weak or unknown.
func placementOr(p *Placement, other float64) float64 {
	if p == nil || p.Weak {
		return other
	}
	return p.Stops
}
