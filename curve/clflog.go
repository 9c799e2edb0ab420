package curve

import (
	"errors"
	"math"
	"slices"
)

// A clfLogParams element; nil where an attribute is left out.
type clfLogParams struct {
	Channel       string   `xml:"channel,attr"`
	Base          *float64 `xml:"base,attr"`
	LogSideSlope  *float64 `xml:"logSideSlope,attr"`
	LogSideOffset *float64 `xml:"logSideOffset,attr"`
	LinSideSlope  *float64 `xml:"linSideSlope,attr"`
	LinSideOffset *float64 `xml:"linSideOffset,attr"`
	LinSideBreak  *float64 `xml:"linSideBreak,attr"`
	LinearSlope   *float64 `xml:"linearSlope,attr"`
}

// logarithm returns a Log node as light is encoded, and the way the node goes.
func (n *clfNode) logarithm() (shape, direction, error) {
	way := fromLinear
	switch n.Style {
	case "antiLog10", "antiLog2", "logToLin", "cameraLogToLin":
		way = toLinear
	}
	switch n.Style {
	case "log10", "antiLog10":
		return floored{logarithm{10, 1, 1, 0, 0}}, way, nil
	case "log2", "antiLog2":
		return floored{logarithm{2, 1, 1, 0, 0}}, way, nil
	case "linToLog", "logToLin", "cameraLinToLog", "cameraLogToLin":
	default:
		return nil, 0, errors.New("its style is none of log10, log2, linToLog, cameraLinToLog and their inverses")
	}
	p, err := n.params()
	if err != nil {
		return nil, 0, err
	}
	camera := n.Style == "cameraLinToLog" || n.Style == "cameraLogToLin"
	s, err := p.shape(camera)
	return s, way, err
}

// params returns the node's one set of parameters.
func (n *clfNode) params() (clfLogParams, error) {
	if len(n.Log) == 0 {
		return clfLogParams{}, errors.New("has no LogParams")
	}
	first := n.Log[0]
	var channels []string
	for i, p := range n.Log {
		if i > 0 && !p.same(first) {
			return clfLogParams{}, errors.New("its channels differ: a curve is the same for all")
		}
		channels = append(channels, p.Channel)
	}
	slices.Sort(channels)
	if !slices.Equal(channels, []string{""}) && !slices.Equal(channels, []string{"B", "G", "R"}) {
		return clfLogParams{}, errors.New("its LogParams are for some channels only: a curve is the same for all")
	}
	return first, nil
}

func (p clfLogParams) all() []*float64 {
	return []*float64{p.Base, p.LogSideSlope, p.LogSideOffset, p.LinSideSlope, p.LinSideOffset, p.LinSideBreak, p.LinearSlope}
}

func (p clfLogParams) same(q clfLogParams) bool {
	return slices.EqualFunc(p.all(), q.all(), func(a, b *float64) bool {
		return a == nil && b == nil || a != nil && b != nil && *a == *b
	})
}

// shape returns the parameters' function, defaults as the format gives them: base 2, slopes
// 1, offsets 0. In a camera style the straight piece meets the logarithm at linSideBreak and,
// without linearSlope, goes on with its slope there.
func (p clfLogParams) shape(camera bool) (shape, error) {
	for _, v := range p.all() {
		if v != nil && (math.IsNaN(*v) || math.IsInf(*v, 0)) {
			return nil, errors.New("a parameter is not a number")
		}
	}
	log := logarithm{or(p.Base, 2), or(p.LogSideSlope, 1), or(p.LinSideSlope, 1), or(p.LinSideOffset, 0), or(p.LogSideOffset, 0)}
	if !(log.base > 0 && log.base != 1) {
		return nil, errors.New("its base must be above 0 and not 1")
	}
	if !(log.gain*log.in/math.Log(log.base) > 0) {
		return nil, errors.New("falls with light: a curve must increase")
	}
	if camera != (p.LinSideBreak != nil) {
		return nil, errors.New("linSideBreak belongs to camera styles, always and only")
	}
	if !camera {
		return floored{log}, nil
	}
	at := *p.LinSideBreak
	n := log.encode(at)
	slope := or(p.LinearSlope, 1/log.slope(n))
	if math.IsNaN(n) || math.IsInf(n, 0) || !(slope > 0) || math.IsInf(slope, 0) {
		return nil, errors.New("its straight piece does not rise from a logarithm at linSideBreak")
	}
	return join(line{slope, n - slope*at}, span{fromX: at, shape: log}), nil
}

func or(v *float64, usual float64) float64 {
	if v == nil {
		return usual
	}
	return *v
}

// A floored logarithm takes its argument no lower than the smallest normal float32, as the
// Common LUT Format has it (Log node, logarithm of zero).
type floored struct{ logarithm }

func (f floored) encode(x float64) float64 {
	return f.gain*f.log(max(f.in*x+f.lift, 1.175494e-38)) + f.offset
}
