// Package cells is the one hot loop: it walks each frame once and adds up integers for every cell
// of a grid laid over it. Instruments (noise, clipping, placement, variation, levels) collect what
// they need from these sums and never go over the samples of every frame themselves.
//
// An instrument is an accumulator with three words: Collect takes each frame that was walked, Merge
// adds what another accumulator collected of other groups, in any order, and Result is asked for
// once. Sums are integers, or are put in the order of the groups first, so that results are the
// same bits for any number of workers and any order of merging. The example is an empty
// instrument to copy.
package cells
