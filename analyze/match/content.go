package match

import (
	"fmt"
	"math"

	"stopledger/analyze/limit"
	"stopledger/analyze/robust"
	"stopledger/curve"
)

// How areas are compared: pixels of a finer picture, in tiles of which each says one difference.
const (
	compareWidth = 256
	tilesAcross  = 8
	tilesDown    = 5
	leastPixels  = 24 // of a tile, even ones
	leastTiles   = 6
	mostUneven   = 0.35 // stops to a neighbour: at an edge a shift of half a pixel is a change of level
)

// byContent matches by the areas that both views show: they are registered, and the median of how the
// light of their tiles differs is the offset. Its interval is that of a median of tiles, by their
// spread (1.253 sigma / sqrt n for the median of a normal distribution), no narrower than leastHalf, and what
// registering them otherwise by a pixel would change.
func byContent(c, to Clip) Offset {
	if c.View == nil || to.View == nil {
		return unmatched("no frame of one of the clips could be read again")
	}
	a, b, dx, dy, correlation := laid(c, to)
	if correlation < float64(limit.SameContent) {
		return unmatched(nothingCommon)
	}
	if alikeTiles(a.detail(2*detailReach), b.detail(2*detailReach), dx, dy, leastDetail) < leastAlike {
		return unmatched(nothingCommon)
	}
	tiles := differences(a, b, dx, dy)
	if len(tiles) < leastTiles {
		return unmatched("too little of what both pictures show is neither clipped nor in the noise")
	}
	middle := robust.Median(tiles)
	spread := spreadOf(tiles)
	if spread > float64(limit.SameLight) {
		return unmatched(fmt.Sprintf("parts of what both show differ by %.1f stops: the light has changed", 2*spread))
	}
	half := max(leastHalf, 2.5*1.253*spread/math.Sqrt(float64(len(tiles)))) + unregistered(a, b, dx, dy, middle)
	return Offset{Stops: curve.Stops(middle), Low: curve.Stops(middle - half), High: curve.Stops(middle + half),
		By: Content, Reason: "areas that both pictures show", RGB: balance(c, to)}
}

const nothingCommon = "no chart or card is sure in both, and the pictures have nothing in common"

// Differ tells whether two clips show different scenes: either picture has detail, and where they lie over each
// other best, little of it is the same. Where a picture has little detail, or cannot be read again, it is not told.
func Differ(a, b Clip) bool {
	if a.View == nil || b.View == nil {
		return false
	}
	x, y, dx, dy, _ := laid(a, b)
	x, y = x.detail(2*detailReach), y.detail(2*detailReach)
	detailed := min(detailedTiles(x), detailedTiles(y))
	same := alikeTiles(x, y, dx, dy, plainDetail)
	return detailed >= leastDetailed && float64(same) < float64(limit.OtherContent)*float64(detailed)
}

// laid returns the pictures of two clips, the shift at which the first lies over the second best, and how well.
func laid(a, b Clip) (x, y *picture, dx, dy int, correlation float64) {
	p := register(a, b)
	x, y = pictureOf(a, int(math.Round(compareWidth*p.scale))), pictureOf(b, compareWidth)
	const finer = float64(compareWidth) / registerWidth
	dx, dy = bestShift(x, y, int(math.Round(float64(p.dx)*finer)), int(math.Round(float64(p.dy)*finer)))
	return x, y, dx, dy, p.correlation
}

// Where pictures may be said to differ: so many tiles have detail that is well over noise. Common practice, no
// source.
const (
	leastDetailed = 8
	plainDetail   = 0.15 // stops, standard deviation of a tile's detail
)

// detailedTiles counts the tiles of a picture's detail that have some.
func detailedTiles(p *picture) (n int) {
	tiles := make([]moments, tilesAcross*tilesDown)
	for y := range p.height {
		for x := range p.width {
			if i := p.at(x, y); p.valid[i] {
				tiles[p.tile(x, y)].add(p.stops[i], 0)
			}
		}
	}
	for _, t := range tiles {
		if t.n >= leastPixels && t.xx/t.n-t.x*t.x/(t.n*t.n) >= plainDetail*plainDetail {
			n++
		}
	}
	return n
}

// leastHalf is half of the narrowest interval: vignetting, flare and what moved between the takes are
// the same for all tiles. Common practice, no source.
const leastHalf = 0.035

// differences returns the median difference in stops of each tile of the second picture, where both
// pictures are valid and even.
func differences(a, b *picture, dx, dy int) []float64 {
	tiles := make([][]float64, tilesAcross*tilesDown)
	change := typical(a, b, dx, dy)
	for y := range b.height {
		for x := range b.width {
			if !a.even(x-dx, y-dy) || !b.even(x, y) {
				continue
			}
			from, to := a.stops[a.at(x-dx, y-dy)], b.stops[b.at(x, y)]
			// Taking a pixel for its level in one picture alone would take the darkest where noise lifts them.
			if (from+to-math.Abs(change))/2 >= float64(darkestAsked+aboveDarkest) {
				i := b.tile(x, y)
				tiles[i] = append(tiles[i], to-from)
			}
		}
	}
	var out []float64
	for _, t := range tiles {
		if len(t) >= leastPixels {
			out = append(out, robust.Median(t))
		}
	}
	return out
}

// aboveDarkest is how far over the darkest level asked a pixel lies that is compared, as the mean of both.
const aboveDarkest = 0.5

// typical is the median difference of all pixels at a shift.
func typical(a, b *picture, dx, dy int) float64 {
	if d := allDifferences(a, b, dx, dy); len(d) > 0 {
		return robust.Median(d)
	}
	return 0
}

// unregistered is by how much the offset changes at most where the shift is another by one pixel: little
// over texture, more where light only falls off.
func unregistered(a, b *picture, dx, dy int, offset float64) (most float64) {
	for _, by := range [][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		if tiles := differences(a, b, dx+by[0], dy+by[1]); len(tiles) > 0 {
			most = max(most, math.Abs(robust.Median(tiles)-offset))
		}
	}
	return most
}

// tile is the number of the tile that a pixel lies in.
func (p *picture) tile(x, y int) int { return y*tilesDown/p.height*tilesAcross + x*tilesAcross/p.width }

// What two pictures of one scene share: one thing of a common shape, a card before a wall, is in many
// scenes; in so many tiles the detail must be there and alike.
const (
	leastAlike  = 5
	leastDetail = 0.03 // stops, standard deviation of a tile's detail: less is noise
	alike       = 0.5  // correlation of a tile
)

// alikeTiles counts the tiles of the second picture in which both have at least so much detail, and the same.
func alikeTiles(a, b *picture, dx, dy int, least float64) (n int) {
	tiles := make([]moments, tilesAcross*tilesDown)
	for y := max(0, dy); y < min(b.height, a.height+dy); y++ {
		for x := max(0, dx); x < min(b.width, a.width+dx); x++ {
			if i, j := a.at(x-dx, y-dy), b.at(x, y); a.valid[i] && b.valid[j] {
				tiles[b.tile(x, y)].add(a.stops[i], b.stops[j])
			}
		}
	}
	for _, t := range tiles {
		if t.n >= leastPixels && t.correlation(least) >= alike {
			n++
		}
	}
	return n
}

// moments are sums over pairs.
type moments struct{ n, x, y, xx, yy, xy float64 }

func (m *moments) add(x, y float64) {
	m.n++
	m.x += x
	m.y += y
	m.xx += x * x
	m.yy += y * y
	m.xy += x * y
}

// correlation is Pearson's; 0 where either side has less detail than least, as standard deviation.
func (m *moments) correlation(least float64) float64 {
	varX, varY := m.xx/m.n-m.x*m.x/(m.n*m.n), m.yy/m.n-m.y*m.y/(m.n*m.n)
	if min(varX, varY) < least*least {
		return 0
	}
	return (m.xy/m.n - m.x*m.y/(m.n*m.n)) / math.Sqrt(varX*varY)
}

// bestShift looks around a shift for the one at which the differences spread least.
func bestShift(a, b *picture, dx, dy int) (int, int) {
	const around = 3
	bestX, bestY, least := dx, dy, math.Inf(1)
	for y := dy - around; y <= dy+around; y++ {
		for x := dx - around; x <= dx+around; x++ {
			if s := spreadAt(a, b, x, y); s < least {
				bestX, bestY, least = x, y, s
			}
		}
	}
	return bestX, bestY
}

// spreadAt is how far the differences of all pixels lie apart at a shift.
func spreadAt(a, b *picture, dx, dy int) float64 {
	if d := allDifferences(a, b, dx, dy); len(d) >= leastPixels {
		return spreadOf(d)
	}
	return math.Inf(1)
}

// allDifferences are those of all pixels that both pictures have at a shift.
func allDifferences(a, b *picture, dx, dy int) (d []float64) {
	for y := max(0, dy); y < min(b.height, a.height+dy); y++ {
		for x := max(0, dx); x < min(b.width, a.width+dx); x++ {
			if i, j := a.at(x-dx, y-dy), b.at(x, y); a.valid[i] && b.valid[j] {
				d = append(d, b.stops[j]-a.stops[i])
			}
		}
	}
	return d
}

// even tells whether a pixel and its four neighbours are valid and near each other in level.
func (p *picture) even(x, y int) bool {
	if x < 1 || y < 1 || x >= p.width-1 || y >= p.height-1 {
		return false
	}
	i := p.at(x, y)
	for _, j := range []int{i, i - 1, i + 1, i - p.width, i + p.width} {
		if !p.valid[j] || math.Abs(p.stops[j]-p.stops[i]) > mostUneven {
			return false
		}
	}
	return true
}

// spreadOf is the standard deviation of values as their median absolute deviation tells it, for a normal
// distribution (1.4826: P. J. Rousseeuw, C. Croux, "Alternatives to the Median Absolute Deviation",
// Journal of the American Statistical Association 88, 1993; from memory).
func spreadOf(v []float64) float64 {
	middle := robust.Median(v)
	off := make([]float64, len(v))
	for i, x := range v {
		off[i] = math.Abs(x - middle)
	}
	return 1.4826 * robust.Median(off)
}
