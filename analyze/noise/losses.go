package noise

// losses are those of families of codecs. Of ProRes 422 HQ, DNxHR HQX and fine HEVC intra they were
// measured on the synthetic camera, single tones of scenes with and without texture, and lie
// around what white noise showed; of H.264 intra they are those of white noise, made wide.
// testdata/noise.md has the figures.
var losses = map[string]lossTable{
	"prores": {profiles: []string{"HQ", "4444", "XQ"}, knots: []lossKnot{
		{0.5, 1.6, 0, 2.9}, {1, 1.5, 0.5, 2.9}, {2, 1.2, 0.6, 2.7}, {4, 1.3, 0.4, 2.3}, {8, 0.6, 0, 1.7}}},
	"dnxhd": {profiles: []string{"HQX", "444"}, knots: []lossKnot{
		{0.5, 0, -1.7, 5.2}, {1, 0, -1.2, 4}, {1.5, -0.1, -1, 2.4}, {2.5, -0.2, -1, 1}, {8, -0.3, -1, 0.4}}},
	"hevc": {ratePerCode: 0.3, knots: []lossKnot{
		{0.5, 3.5, 2, 8.5}, {0.7, 2.8, 1.5, 7}, {1, 2, 1, 5.3}, {1.3, 1.2, 0.4, 4.3}, {2, 1, 0.1, 2.8}, {4, 0.8, 0, 1.9},
		{8, 0.4, 0, 1.4}}},
	"h264": {ratePerCode: 0.3, knots: []lossKnot{
		{0.5, 3, 0, 7}, {1, 1.5, 0, 5}, {2, 0.5, -0.2, 2}, {4, 0.3, -0.2, 1.5}, {8, 0.2, -0.2, 1}}},
}
