// A closer look at pairs of frames, one row of cells a call. Sums run down eight columns at once and then, in one
// order, over them, so that they are the same on every machine; twin_test.go has the same in Go.

// Multiplications and additions are rounded one by one.
#pragma STDC FP_CONTRACT OFF

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
	SIZE = 16, // of a cell
	LAGS = 3,  // as in detail.go
};

// The sums of one cell, planes taken out; as in detail.go.
struct look {
	float code;                     // of the mean of both frames, plane and all
	float square, fourth;           // powers of differences
	float across[LAGS], down[LAGS]; // products of differences so many samples apart
	float fixed, row, column;       // squares of the mean, of its sums along rows and of those down columns
};

// Half a row of a cell, or of sums down its columns.
typedef float lanes __attribute__((vector_size(SIZE / 2 * sizeof(float))));
typedef struct {
	lanes half[2];
} columns;

#define EACH(h) for (int h = 0; h < 2; h++)

static const columns offset = {{{-7.5f, -6.5f, -5.5f, -4.5f, -3.5f, -2.5f, -1.5f, -0.5f},
	{0.5f, 1.5f, 2.5f, 3.5f, 4.5f, 5.5f, 6.5f, 7.5f}}}; // of a column from the cell's centre

// total adds up the columns.
INLINED float total(const columns *v) {
	lanes eight = v->half[0] + v->half[1];
	lanes four = eight + __builtin_shufflevector(eight, eight, 4, 5, 6, 7, 4, 5, 6, 7);
	lanes two = four + __builtin_shufflevector(four, four, 2, 3, 2, 3, 2, 3, 2, 3);
	return two[0] + two[1];
}

// flatten takes the least-squares plane out of a cell and returns the cell's sum.
INLINED float flatten(columns *v) {
	const float area = SIZE * SIZE;
	const float moment = SIZE * SIZE * (SIZE * SIZE - 1) / 12.0f; // the sum over a cell of (x - centre)^2
	columns mean = {0}, across, down = {0};
	for (int y = 0; y < SIZE; y++)
		EACH(h) {
			mean.half[h] += v[y].half[h];
			down.half[h] += v[y].half[h] * ((float)y - 7.5f);
		}
	EACH(h) across.half[h] = mean.half[h] * offset.half[h];
	float sum = total(&mean), right = total(&across) / moment, below = total(&down) / moment;
	columns level;
	EACH(h) level.half[h] = sum / area + right * offset.half[h];
	for (int y = 0; y < SIZE; y++)
		EACH(h) v[y].half[h] -= level.half[h] + below * ((float)y - 7.5f);
	return sum;
}

// differences sums powers and products of flattened differences.
INLINED void differences(const columns *v, struct look *out) {
	columns square = {0}, fourth = {0}, across[LAGS] = {{{{0}}}}, down[LAGS] = {{{{0}}}};
	float rows[SIZE][SIZE + SIZE / 2] = {{0}}; // nothing lies beyond the cell
	for (int y = 0; y < SIZE; y++) memcpy(rows[y], &v[y], sizeof v[y]);
	for (int y = 0; y < SIZE; y++)
		EACH(h) {
			lanes now = v[y].half[h], s = now * now;
			square.half[h] += s;
			fourth.half[h] += s * s;
			for (int i = 0; i < LAGS; i++) {
				lanes later;
				memcpy(&later, rows[y] + h * SIZE / 2 + i + 1, sizeof later);
				across[i].half[h] += now * later;
				if (y > i) down[i].half[h] += now * v[y - i - 1].half[h];
			}
		}
	out->square = total(&square);
	out->fourth = total(&fourth);
	for (int i = 0; i < LAGS; i++) {
		out->across[i] = total(&across[i]);
		out->down[i] = total(&down[i]);
	}
}

// pattern sums the squares of a flattened mean, of its rows and of its columns.
INLINED void pattern(const columns *v, struct look *out) {
	columns square = {0}, column = {0};
	out->row = 0;
	for (int y = 0; y < SIZE; y++) {
		EACH(h) {
			square.half[h] += v[y].half[h] * v[y].half[h];
			column.half[h] += v[y].half[h];
		}
		float row = total(&v[y]);
		out->row += row * row;
	}
	EACH(h) column.half[h] *= column.half[h];
	out->fixed = total(&square);
	out->column = total(&column);
}

// look_at measures so many whole cells of a row of cells, frame against the one before.
WIDE static void look_at(const float *now, const float *was, ptrdiff_t stride, int cells, struct look *out) {
	for (int i = 0; i < cells; i++) {
		columns difference[SIZE], mean[SIZE];
		for (int y = 0; y < SIZE; y++)
			EACH(h) {
				lanes a, b;
				ptrdiff_t at = y * stride + i * SIZE + h * SIZE / 2;
				memcpy(&a, now + at, sizeof a);
				memcpy(&b, was + at, sizeof b);
				difference[y].half[h] = a - b;
				mean[y].half[h] = (a + b) / 2;
			}
		out[i].code = flatten(mean) / (SIZE * SIZE);
		flatten(difference);
		differences(difference, &out[i]);
		pattern(mean, &out[i]);
	}
}

// textures measures the texture of so many whole cells of a row of cells, as texture.go has it, by every second row.
WIDE static void texture_at(const uint16_t *now, ptrdiff_t stride, const uint16_t *was, ptrdiff_t old, int cells,
	float *out) {
	enum { LAST = SIZE - 1 };
	const float n = LAST * SIZE / 2;
	for (int i = 0; i < cells; i++, now += SIZE, was += SIZE) {
		int64_t product = 0, ends[2][2] = {{0}};
		for (int y = 0; y < LAST; y += 2) {
			const uint16_t *a = now + y * stride, *b = was + y * old, *below = a + stride, *under = b + old;
			for (int x = 0; x < LAST; x++) {
				int32_t along = a[x + 1] - a[x], before = b[x + 1] - b[x];
				int32_t down = below[x] - a[x], downBefore = under[x] - b[x];
				product += (int64_t)along * before + (int64_t)down * downBefore;
				ends[1][0] += down;
				ends[1][1] += downBefore;
			}
			ends[0][0] += a[LAST] - a[0];
			ends[0][1] += b[LAST] - b[0];
		}
		out[i] = (float)product / n - (float)ends[0][0] * (float)ends[0][1] / n / n -
			(float)ends[1][0] * (float)ends[1][1] / n / n;
	}
}

// field_slopes sums, for even rows and for odd ones, what fieldShift regresses; it adds to what is there.
WIDE static void field_slopes(const uint16_t *p, ptrdiff_t stride, int width, int height, int64_t product[2],
	int64_t square[2]) {
	for (int y = 1; y + 1 < height; y++) {
		const uint16_t *above = p + (y - 1) * stride, *row = p + y * stride, *below = p + (y + 1) * stride;
		int64_t products = 0, squares = 0;
		for (int x = 1; x + 1 < width; x++) {
			int32_t slope = above[x + 1] + below[x + 1] - above[x - 1] - below[x - 1];
			int32_t gap = 2 * row[x] - above[x] - below[x];
			products += (int64_t)gap * slope;
			squares += (int64_t)slope * slope;
		}
		product[y & 1] += products;
		square[y & 1] += squares;
	}
}
