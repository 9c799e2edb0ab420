// What is done with every sample of a frame before it is measured. All loops run along rows, so that the
// compiler can do many samples at once.

#include <stddef.h>
#include <stdint.h>

#if defined(__x86_64__) && defined(__gnu_linux__) && defined(__GNUC__) && !defined(__clang__)
#define WIDE __attribute__((target_clones("avx2", "default"))) // chosen when the program starts
#else
#define WIDE
#endif

// widen copies rows of bytes, stride bytes apart, to rows of words without gaps.
WIDE static void widen(uint16_t *restrict to, const uint8_t *from, ptrdiff_t stride, int width, int height) {
	for (int y = 0; y < height; y++, to += width, from += stride)
		for (int x = 0; x < width; x++) to[x] = from[x];
}

// bits_of returns every bit that is set in a sample; rows are stride samples apart.
WIDE static uint16_t bits_of(const uint16_t *from, ptrdiff_t stride, int width, int height) {
	uint16_t all = 0;
	for (int y = 0; y < height; y++, from += stride)
		for (int x = 0; x < width; x++) all |= from[x];
	return all;
}
