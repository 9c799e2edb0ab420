// Sums over the samples of rows of channels, a block of rows a call, in the order in which the samples lie: they
// are those of the same in Go, which twin_test.go has.

// Multiplications and additions are rounded one by one.
#pragma STDC FP_CONTRACT OFF

#include <stdint.h>

#if defined(__x86_64__) && defined(__gnu_linux__) && defined(__GNUC__) && !defined(__clang__)
#define WIDE __attribute__((target_clones("avx2", "default"))) // chosen when the program starts
#else
#define WIDE
#endif

enum {
	PER_CODE = 4, // bins to a code, as in histogram.go
	HUES = 1024,  // as in hue.go
	RUN = 64,     // samples whose places are found at a time
	SKIP = -1,    // all bits
};

#define MIN(a, b) ((a) < (b) ? (a) : (b))
#define MAX(a, b) ((a) > (b) ? (a) : (b))

// compare adds samples, and the same ones of the frame before, to a histogram of so many bins.
WIDE static void compare(const float *row, const float *before, int n, float scale, int bins, double *count,
	double *pairs, double *change) {
	int32_t at[RUN], mean[RUN];
	double square[RUN];
	for (int from = 0; from < n; from += RUN) {
		int m = MIN(RUN, n - from);
		for (int x = 0; x < m; x++) {
			float code = row[from + x] * scale, was = before[from + x] * scale;
			double d = (double)(code - was) / PER_CODE;
			square[x] = d * d;
			int32_t place = (int32_t)(code + 0.5f), between = (int32_t)((code + was + 1) / 2);
			int32_t below = -((code < 0) | (was < 0)); // no branch, with which the loop would not become vectors
			at[x] = MIN(place, bins - 1) | below;
			mean[x] = MIN(between, bins - 1);
		}
		for (int x = 0; x < m; x++) {
			if (at[x] == SKIP) continue;
			count[at[x]]++;
			pairs[mean[x]]++;
			change[mean[x]] += square[x];
		}
	}
}

// add_hues adds differences between channels by the code of the brightest.
WIDE static void add_hues(const float *red, const float *green, const float *blue, int n, float to_code, double *count,
	double *red_green, double *green_blue) {
	int32_t at[RUN];
	float first[RUN], second[RUN];
	for (int from = 0; from < n; from += RUN) {
		int m = MIN(RUN, n - from);
		for (int x = 0; x < m; x++) {
			float r = red[from + x], g = green[from + x], b = blue[from + x];
			at[x] = MIN(MAX((int32_t)(MAX(MAX(r, g), b) * to_code), 0), HUES - 1);
			first[x] = (r - g) * to_code;
			second[x] = (g - b) * to_code;
		}
		for (int x = 0; x < m; x++) {
			count[at[x]]++;
			red_green[at[x]] += first[x];
			green_blue[at[x]] += second[x];
		}
	}
}
