package decode

import "sync"

// A bufferPool lends the buffers into which samples are spread, so that a clip is read with
// two or three of them however long it is.
type bufferPool struct {
	mu   sync.Mutex
	idle [][]uint16
}

// pooledBuffers is how many idle buffers are kept: one being decoded into, one waiting.
const pooledBuffers = 2

func (p *bufferPool) take(samples int) []uint16 {
	p.mu.Lock()
	defer p.mu.Unlock()
	if n := len(p.idle); n > 0 && cap(p.idle[n-1]) >= samples {
		buffer := p.idle[n-1][:samples]
		p.idle = p.idle[:n-1]
		return buffer
	}
	return make([]uint16, samples)
}

func (p *bufferPool) give(buffer []uint16) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.idle) < pooledBuffers {
		p.idle = append(p.idle, buffer)
	}
}
