// The sums over the samples of a frame, one row of cells a call. They are integers, so that they are
// the same on every machine; twin_test.go has the same in Go. Loops run along rows, of a cell or of a strip
// of columns whose sums stay in the first cache, so that the compiler can do several columns at once.

// In floating point too: multiplications and additions are rounded one by one, which GCC does in ISO C.
#pragma STDC FP_CONTRACT OFF

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#if defined(__x86_64__) && defined(__gnu_linux__) && defined(__GNUC__) && !defined(__clang__)
#define WIDE __attribute__((target_clones("avx2", "default"))) // chosen when the program starts
#else
#define WIDE
#endif
#if defined(__GNUC__)
#define INLINED static inline __attribute__((always_inline)) // so that it is compiled as its caller is
#else
#define INLINED static inline
#endif

enum {
	SIZE = 16,   // of a cell, as in grid.go
	STRIP = 512, // columns summed at a time, a multiple of SIZE
	TABLES = 8,  // neighbouring samples are counted in tables of their own: they are often alike
};

// As in cell.go.
struct cell {
	uint64_t sum, sum_sq, deviation;
	uint32_t pixels, clipped[3], any, all;
	uint16_t highest;
	bool repeated;
};

// As in thresholds.go.
struct thresholds {
	int64_t limit[3], mid, cr_r, cb_g, cr_g, cb_b;
};

struct columns {
	uint32_t sum[STRIP];
	int32_t diff[2][STRIP]; // of differences to the frame before; upper and lower half
	uint16_t high[STRIP];
};

#define MIN(a, b) ((a) < (b) ? (a) : (b))
#define MAX(a, b) ((a) > (b) ? (a) : (b))

// SUMS defines the sums of cells whose squares of SIZE samples fit into T. For the samples c of a cell
// and those p of the frame before:
//   sum = sum of c, sum_sq = sum of c^2, highest = the greatest c
//   deviation = 256 x sum of (c - p)^2 - mean^2 - across^2 - down^2
// with mean the sum of c - p, across that of the right half less that of the left, and down that of the
// lower half less that of the upper.
#define SUMS(NAME, T)                                                                                        \
	WIDE static void NAME(const uint16_t *now, ptrdiff_t stride, const uint16_t *before, ptrdiff_t old,      \
		int width, int rows, struct cell *cells) {                                                           \
		struct columns k;                                                                                    \
		T square[STRIP], change[STRIP];                                                                      \
		memset(&k, 0, sizeof k);                                                                             \
		memset(square, 0, sizeof square);                                                                    \
		memset(change, 0, sizeof change);                                                                    \
		for (int y = 0; y < rows; y++, now += stride) {                                                      \
			for (int x = 0; x < width; x++) {                                                                \
				k.sum[x] += now[x];                                                                          \
				square[x] += (T)now[x] * now[x];                                                             \
				k.high[x] = MAX(k.high[x], now[x]);                                                          \
			}                                                                                                \
			if (before == NULL) continue;                                                                    \
			int32_t *diff = k.diff[y >= SIZE / 2];                                                           \
			for (int x = 0; x < width; x++) {                                                                \
				uint16_t apart = now[x] > before[x] ? now[x] - before[x] : before[x] - now[x];               \
				diff[x] += now[x] - before[x];                                                               \
				change[x] += (T)apart * apart;                                                               \
			}                                                                                                \
			before += old;                                                                                   \
		}                                                                                                    \
		for (int from = 0; from < width; from += SIZE, cells++) {                                            \
			uint64_t changed = 0;                                                                            \
			int64_t half[2][2] = {{0}};                                                                      \
			int to = MIN(from + SIZE, width);                                                                \
			for (int x = from; x < to; x++) {                                                                \
				cells->sum += k.sum[x];                                                                      \
				cells->sum_sq += square[x];                                                                  \
				cells->highest = MAX(cells->highest, k.high[x]);                                             \
				changed += change[x];                                                                        \
				half[0][x - from >= SIZE / 2] += k.diff[0][x];                                               \
				half[1][x - from >= SIZE / 2] += k.diff[1][x];                                               \
			}                                                                                                \
			cells->pixels = (to - from) * rows;                                                              \
			if (before == NULL || cells->pixels < SIZE * SIZE) continue;                                     \
			int64_t left = half[0][0] + half[1][0], right = half[0][1] + half[1][1];                         \
			int64_t upper = half[0][0] + half[0][1], lower = half[1][0] + half[1][1];                        \
			int64_t mean = left + right, across = right - left, down = lower - upper;                        \
			cells->deviation = SIZE * SIZE * changed - (uint64_t)(mean * mean) -                             \
				(uint64_t)(across * across) - (uint64_t)(down * down);                                       \
			cells->repeated = changed == 0;                                                                  \
		}                                                                                                    \
	}

SUMS(sum_strip, uint32_t)      // of samples of 14 bits: 16 x 16383^2 < 2^32
SUMS(sum_strip_deep, uint64_t) // of 16

// The upper or lower half of a whole cell of samples of 12 bits: 128 x 4095^2 < 2^31.
enum { HALF = SIZE * SIZE / 2 };
struct half {
	int32_t sum, square, diff, across, change;
	uint16_t high;
};

#define EIGHT(V) V, V, V, V, V, V, V, V
#define ROW EIGHT(-1), EIGHT(1)
static const int16_t side[HALF] = {ROW, ROW, ROW, ROW, ROW, ROW, ROW, ROW}; // left -1, right 1

// half_of sums products of 16 bits, which processors do in pairs.
INLINED struct half half_of(const uint16_t *now, ptrdiff_t stride, const uint16_t *before, ptrdiff_t old) {
	int16_t c[HALF], d[HALF];
	struct half h = {0};
	for (int y = 0; y < SIZE / 2; y++, now += stride, before += old)
		for (int x = 0; x < SIZE; x++) {
			c[y * SIZE + x] = now[x];
			d[y * SIZE + x] = now[x] - before[x];
		}
	for (int i = 0; i < HALF; i++) h.high = MAX(h.high, (uint16_t)c[i]);
	for (int i = 0; i < HALF; i++) {
		h.sum += c[i];
		h.square += c[i] * c[i];
		h.diff += d[i];
		h.across += d[i] * side[i];
		h.change += d[i] * d[i];
	}
	return h;
}

// sum_whole adds up whole cells of samples of 12 bits, as SUMS does.
WIDE static void sum_whole(const uint16_t *now, ptrdiff_t stride, const uint16_t *before, ptrdiff_t old, int n,
	struct cell *cells) {
	const ptrdiff_t lower = SIZE / 2;
	const uint16_t *was = before ? before : now;
	const ptrdiff_t apart = before ? old : stride;
	for (int i = 0; i < n; i++, now += SIZE, was += SIZE, cells++) {
		struct half u = half_of(now, stride, was, apart);
		struct half l = half_of(now + lower * stride, stride, was + lower * apart, apart);
		cells->sum = u.sum + l.sum;
		cells->sum_sq = (uint64_t)u.square + l.square;
		cells->pixels = SIZE * SIZE;
		cells->highest = MAX(u.high, l.high);
		if (before == NULL) continue;
		int64_t mean = u.diff + l.diff, across = u.across + l.across, down = l.diff - u.diff;
		uint64_t changed = (uint64_t)u.change + l.change;
		cells->deviation = SIZE * SIZE * changed - mean * mean - across * across - down * down;
		cells->repeated = changed == 0;
	}
}

// sum_cells adds up a row of cells, and returns the greatest sample. before is NULL for a frame that has none
// before it.
static uint16_t sum_cells(const uint16_t *now, ptrdiff_t stride, const uint16_t *before, ptrdiff_t old, int width,
	int rows, int bits, struct cell *cells) {
	int from = 0;
	uint16_t highest = 0;
	if (bits <= 12 && rows == SIZE) {
		sum_whole(now, stride, before, old, width / SIZE, cells);
		from = width / SIZE * SIZE;
	}
	for (; from < width; from += STRIP)
		(bits <= 14 ? sum_strip : sum_strip_deep)(now + from, stride, before ? before + from : NULL, old,
			MIN(STRIP, width - from), rows, cells + from / SIZE);
	for (int i = 0; i * SIZE < width; i++) highest = MAX(highest, cells[i].highest);
	return highest;
}

// tally counts the samples of a row of cells by code, but those of cells that are masked; mask may be
// NULL. There are TABLES counts a code, of every code that the samples may have.
static void tally(const uint16_t *now, ptrdiff_t stride, int width, int rows, const bool *mask, uint32_t *counts) {
	for (int y = 0; y < rows; y++, now += stride) {
		for (int from = 0; from < width; from += SIZE) {
			if (mask && mask[from / SIZE]) continue;
			if (from + SIZE <= width) // so many steps, which the compiler writes out
				for (int i = 0; i < SIZE; i++) counts[TABLES * now[from + i] + i % TABLES]++;
			else
				for (int x = from; x < width; x++) counts[TABLES * now[x]]++;
		}
	}
}

// A strip's samples at the ceiling, by column.
struct clips {
	uint16_t channel[3][STRIP], any[STRIP], all[STRIP];
};

// gather adds columns of a strip to its cells, of so many columns each.
static void gather(const struct clips *k, int from, int to, int per_cell, struct cell *cells) {
	for (int x = from; x < to; x++) {
		struct cell *c = cells + x / per_cell;
		for (int i = 0; i < 3; i++) c->clipped[i] += k->channel[i][x];
		c->any += k->any[x];
		c->all += k->all[x];
	}
}

// NEAR keeps a limit within a T of 32 bits; what is compared with it lies well within.
#define NEAR(T, limit) (sizeof(T) == 8 ? (limit) : MIN(MAX(limit, INT32_MIN), INT32_MAX))

#define COUNT(R, G, B)                                                                                       \
	uint16_t r = (R) >= red, g = (G) >= green, b = (B) >= blue;                                              \
	k->channel[0][x] += r;                                                                                   \
	k->channel[1][x] += g;                                                                                   \
	k->channel[2][x] += b;                                                                                   \
	k->any[x] += r | g | b;                                                                                  \
	k->all[x] += r & g & b;

// CLIPS defines the count of some columns of one row of chroma samples. Y' is the mean of the luma samples that a
// chroma sample covers, kept as the sum of four; all terms are in units of 2^-14 codes and fit into T:
//   R' = Y' + cr_r (Cr - mid), G' = Y' + cb_g (Cb - mid) + cr_g (Cr - mid), B' = Y' + cb_b (Cb - mid)
// SUB_X is how many luma samples a chroma sample covers across.
#define CLIPS(NAME, T, SUB_X)                                                                                \
	WIDE static void NAME(const uint16_t *upper, const uint16_t *lower, const uint16_t *cb,                  \
		const uint16_t *cr, int from, int to, const struct thresholds *t, struct clips *k) {                 \
		const T red = NEAR(T, t->limit[0]), green = NEAR(T, t->limit[1]), blue = NEAR(T, t->limit[2]);       \
		const T mid = t->mid, cr_r = t->cr_r, cb_g = t->cb_g, cr_g = t->cr_g, cb_b = t->cb_b;                \
		for (int x = from; x < to; x++) {                                                                    \
			T luma = upper[SUB_X * x] + upper[SUB_X * x + SUB_X - 1] + lower[SUB_X * x] +                    \
				lower[SUB_X * x + SUB_X - 1];                                                                \
			T y = luma << 12, u = cb[x] - mid, v = cr[x] - mid;                                              \
			COUNT(y + cr_r * v, y + cb_g * u + cr_g * v, y + cb_b * u)                                       \
		}                                                                                                    \
	}

CLIPS(clips_1, int32_t, 1) // of samples of 14 bits: |terms| < 2^30
CLIPS(clips_2, int32_t, 2)
CLIPS(clips_deep_1, int64_t, 1) // of 16
CLIPS(clips_deep_2, int64_t, 2)

enum { GRAIN = 8 }; // columns of chroma that are counted or not

// A range is the least and the greatest of some samples.
struct range {
	uint16_t low, high;
};

// ranges finds those of each GRAIN columns of a strip, which is no wider than half a STRIP.
WIDE static void ranges(const uint16_t *from, ptrdiff_t stride, int width, int rows, struct range *r) {
	uint16_t low[STRIP / 2], high[STRIP / 2];
	memcpy(low, from, width * sizeof *from);
	memcpy(high, from, width * sizeof *from);
	for (int y = 1; y < rows; y++) {
		const uint16_t *row = from + y * stride;
		for (int x = 0; x < width; x++) {
			low[x] = MIN(low[x], row[x]);
			high[x] = MAX(high[x], row[x]);
		}
	}
	for (int at = 0; at < width; at += GRAIN, r++) {
		*r = (struct range){low[at], high[at]};
		for (int x = at + 1; x < MIN(at + GRAIN, width); x++) {
			r->low = MIN(r->low, low[x]);
			r->high = MAX(r->high, high[x]);
		}
	}
}

// most is the greatest product of a factor and what lies between two numbers.
static int64_t most(int64_t factor, int64_t low, int64_t high) { return factor * (factor > 0 ? high : low); }

// A strip of Y', Cb and Cr, of so many columns and rows of chroma, with its cells.
struct strip {
	const uint16_t *luma, *cb, *cr;
	ptrdiff_t stride, cb_stride, cr_stride;
	int width, rows, per_cell;
	struct cell *cells;
};

// reaches tells for each GRAIN columns whether some sample may be at the ceiling.
static void reaches(const struct strip *s, const struct thresholds *t, bool *may) {
	struct range cb[STRIP / 2 / GRAIN], cr[STRIP / 2 / GRAIN];
	ranges(s->cb, s->cb_stride, s->width, s->rows, cb);
	ranges(s->cr, s->cr_stride, s->width, s->rows, cr);
	for (int i = 0; i * GRAIN < s->width; i++) {
		int64_t y = (int64_t)s->cells[i * GRAIN / s->per_cell].highest << 14;
		int64_t u[2] = {cb[i].low - t->mid, cb[i].high - t->mid}, v[2] = {cr[i].low - t->mid, cr[i].high - t->mid};
		may[i] = y + most(t->cr_r, v[0], v[1]) >= t->limit[0] ||
			y + most(t->cb_g, u[0], u[1]) + most(t->cr_g, v[0], v[1]) >= t->limit[1] ||
			y + most(t->cb_b, u[0], u[1]) >= t->limit[2];
	}
}

// count_clipped counts in a row of cells of Y', Cb and Cr, whose luma was summed. rows are of chroma, and luma_rows
// how many rows of luma there are from the first on. The last luma column and row stand for those that are missing.
static void count_clipped(const uint16_t *luma, ptrdiff_t stride, int luma_width, int luma_rows,
	const uint16_t *cb, ptrdiff_t cb_stride, const uint16_t *cr, ptrdiff_t cr_stride, int width, int rows,
	int sub_x, int sub_y, int bits, const struct thresholds *t, struct cell *cells) {
	void (*count)(const uint16_t *, const uint16_t *, const uint16_t *, const uint16_t *, int, int,
		const struct thresholds *, struct clips *) =
		bits <= 14 ? (sub_x == 1 ? clips_1 : clips_2) : (sub_x == 1 ? clips_deep_1 : clips_deep_2);
	const int strip = STRIP / 2, per_cell = SIZE / sub_x;
	for (int from = 0; from < width; from += strip) {
		struct clips k;
		bool may[STRIP / 2 / GRAIN];
		memset(&k, 0, sizeof k);
		const int n = MIN(strip, width - from), whole = MIN(n, luma_width / sub_x - from);
		const struct strip s = {luma + from * sub_x, cb + from, cr + from, stride, cb_stride, cr_stride, n, rows, per_cell,
			cells + from / per_cell};
		reaches(&s, t, may);
		for (int first = 0, to; first < n; first = to) {
			for (to = MIN(first + GRAIN, n); to < n && may[to / GRAIN] == may[first / GRAIN]; to = MIN(to + GRAIN, n)) {}
			if (!may[first / GRAIN]) continue;
			for (int y = 0; y < rows; y++) {
				const uint16_t *upper = s.luma + y * sub_y * stride;
				const uint16_t *lower = s.luma + MIN(y * sub_y + sub_y - 1, luma_rows - 1) * stride;
				const uint16_t *u = s.cb + y * cb_stride, *v = s.cr + y * cr_stride;
				count(upper, lower, u, v, first, MIN(to, whole), t, &k);
				if (whole < to) { // the last chroma sample covers one luma sample
					struct clips last;
					memset(&last, 0, sizeof last);
					uint16_t twice[2][2] = {{upper[2 * whole], upper[2 * whole]}, {lower[2 * whole], lower[2 * whole]}};
					count(twice[0], twice[1], u + whole, v + whole, 0, 1, t, &last);
					for (int i = 0; i < 3; i++) k.channel[i][whole] += last.channel[i][0];
					k.any[whole] += last.any[0];
					k.all[whole] += last.all[0];
				}
			}
			gather(&k, first, to, per_cell, s.cells);
		}
	}
}

// whole is the least sample that is at a limit, one more than there is where none can be.
static int32_t whole(int64_t limit) { return limit <= 0 ? 0 : MIN((limit - 1) / (1 << 14) + 1, 1 << 16); }

// count_row counts one row of R', G' and B' of full size.
WIDE static void count_row(const uint16_t *rs, const uint16_t *gs, const uint16_t *bs, int width,
	const struct thresholds *t, struct clips *k) {
	const int32_t red = whole(t->limit[0]), green = whole(t->limit[1]), blue = whole(t->limit[2]);
	for (int x = 0; x < width; x++) {
		COUNT(rs[x], gs[x], bs[x])
	}
}

// count_clipped_full counts in a row of cells of R', G' and B'.
static void count_clipped_full(const uint16_t *r, ptrdiff_t r_stride, const uint16_t *g, ptrdiff_t g_stride,
	const uint16_t *b, ptrdiff_t b_stride, int width, int rows, const struct thresholds *t, struct cell *cells) {
	for (int from = 0; from < width; from += STRIP) {
		struct clips k;
		memset(&k, 0, sizeof k);
		const int n = MIN(STRIP, width - from);
		for (int y = 0; y < rows; y++)
			count_row(r + y * r_stride + from, g + y * g_stride + from, b + y * b_stride + from, n, t, &k);
		gather(&k, 0, n, SIZE, cells + from / SIZE);
	}
}

// What makes R', G' and B' of Y', Cb and Cr, as curve.Chroma has it.
struct factors {
	float mid, cr_r, cb_g, cr_g, cb_b;
};

// mix_row makes so many values of one row; SUB_X luma samples lie across a chroma sample.
INLINED void mix_row(const uint16_t *upper, const uint16_t *lower, const uint16_t *cb, const uint16_t *cr, int width,
	int sub_x, struct factors k, float *r, float *g, float *b) {
	for (int x = 0; x < width; x++) {
		int sum = upper[sub_x * x] + upper[sub_x * x + sub_x - 1] + lower[sub_x * x] + lower[sub_x * x + sub_x - 1];
		float l = 0.25f * (float)sum, u = (float)cb[x] - k.mid, v = (float)cr[x] - k.mid;
		r[x] = l + k.cr_r * v;
		g[x] = l + k.cb_g * u + k.cr_g * v;
		b[x] = l + k.cb_b * u;
	}
}

// mix makes rows of R', G' and B', one value per chroma sample with the mean of the luma samples it covers.
// luma_rows there are from the first on; the last luma column and row stand for those that are missing.
WIDE static void mix(const uint16_t *luma, ptrdiff_t stride, int luma_width, int luma_rows, const uint16_t *cb,
	ptrdiff_t cb_stride, const uint16_t *cr, ptrdiff_t cr_stride, int width, int rows, int sub_x, int sub_y,
	struct factors k, float *r, float *g, float *b) {
	const int whole = MIN(width, luma_width / sub_x);
	for (int y = 0; y < rows; y++, cb += cb_stride, cr += cr_stride, r += width, g += width, b += width) {
		const uint16_t *upper = luma + y * sub_y * stride;
		const uint16_t *lower = luma + MIN(y * sub_y + sub_y - 1, luma_rows - 1) * stride;
		if (sub_x == 1)
			mix_row(upper, lower, cb, cr, whole, 1, k, r, g, b);
		else
			mix_row(upper, lower, cb, cr, whole, 2, k, r, g, b);
		if (whole < width) { // the last chroma sample covers one luma sample
			uint16_t last[2] = {upper[2 * whole], lower[2 * whole]};
			mix_row(last, last + 1, cb + whole, cr + whole, 1, 1, k, r + whole, g + whole, b + whole);
		}
	}
}

// As in survey.go.
struct moments {
	double mean, spatial, temporal;
};

// survey adds rows of so many whole cells, each so many samples across, to their moments.
WIDE static void survey(const float *now, const float *was, ptrdiff_t stride, int rows, int across, int whole,
	struct moments *m) {
	const int width = whole * across;
	for (int from = 0; from < width; from += STRIP) {
		double sum[STRIP] = {0}, square[STRIP] = {0}, change[STRIP] = {0};
		int n = MIN(STRIP, width - from);
		for (int y = 0; y < rows; y++) {
			const float *a = now + y * stride + from, *b = was + y * stride + from;
			for (int x = 0; x < n; x++) {
				double p = a[x], q = b[x];
				sum[x] += p + q;
				square[x] += p * p + q * q;
				change[x] += (p - q) * (p - q);
			}
		}
		for (int x = 0; x < n; x++) {
			struct moments *one = m + (from + x) / across;
			one->mean += sum[x];
			one->spatial += square[x];
			one->temporal += change[x];
		}
	}
}
