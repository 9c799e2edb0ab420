package text

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"stopledger/analyze/advise"
	"stopledger/curve"
	"stopledger/report/internal/reporttest"
)

func TestComparison(t *testing.T) {
	var text bytes.Buffer
	for _, width := range []int{0, 100, 72} {
		fmt.Fprintf(&text, "=== width %d\n", width)
		if err := WriteComparison(&text, reporttest.Takes(t), Layout{Width: width}); err != nil {
			t.Fatal(err)
		}
	}
	reporttest.Golden(t, "compare.txt", text.String())
}

func estimate(v, low, high float64) advise.Estimate {
	return advise.Estimate{Value: curve.Amount(v), Low: curve.Amount(low), High: curve.Amount(high)}
}

var none = math.NaN()

func TestFigures(t *testing.T) {
	tone, grey := curve.Stops(-4), curve.Stops(0)
	difference := func(told bool, v, low, high float64) *advise.Difference {
		return &advise.Difference{Estimate: estimate(v, low, high), Told: told}
	}
	for _, test := range []struct {
		figure                            advise.Figure
		value                             *advise.Estimate
		difference                        *advise.Difference
		name, printed, interval, lessThan string
	}{
		{advise.Figure{Name: "placement", Unit: "stops"}, ptr(estimate(1.651, 1.63, 1.67)), difference(true, 1.631, 1.59,
			1.67),
			"grey", "+1.65 stops", "+1.63 to +1.67", "+1.63 ±0.04 stops"},
		{advise.Figure{Name: "placement", Unit: "stops"}, ptr(estimate(-0.5, -0.8, -0.1)), difference(false, -0.5, -1, 0.1),
			"grey", "-0.5 stops", "-0.8 to -0.1", "none"},
		{advise.Figure{Name: "snr", Unit: "dB", SceneStops: &tone}, ptr(estimate(26.44, 26.1, 26.81)), difference(true,
			6.6, 6.2, 7),
			"SNR 4 stops under grey", "26 dB", "26.1 to 26.8", "+6.6 ±0.4 dB"},
		{advise.Figure{Name: "snr", Unit: "dB", SceneStops: &grey}, nil, nil, "SNR at grey", "-", "", "-"},
		{advise.Figure{Name: "headroom", Unit: "stops"}, ptr(estimate(2.12, none, none)), difference(true, -1.6, none,
			none),
			"headroom", "2.1 stops", "", "-1.6 stops"},
		{advise.Figure{Name: "floor", Unit: "stops"}, ptr(estimate(-9.12, none, none)), difference(true, 0.03, none, none),
			"floor", "-9.1 stops", "", "none"}, // told, but it prints as nothing
		{advise.Figure{Name: "clipped_any", Unit: "share"}, ptr(estimate(0.0412, 0.04, 0.0424)), difference(true, 0.0412,
			0.0411, 0.0413),
			"clipped any", "4.1 %", "4.0 % to 4.2 %", "+4.12 ±0.01 %"}, // an interval is never printed as nothing
	} {
		f := test.figure
		f.Value, f.Difference = test.value, test.difference
		got := []string{FigureName(f), FigureValue(f), FigureInterval(f), FigureDifference(f)}
		for i, want := range []string{test.name, test.printed, test.interval, test.lessThan} {
			if got[i] != want {
				t.Errorf("%s of %s: got %q, want %q", []string{"name", "value", "interval", "difference"}[i], f.Name, got[i],
					want)
			}
		}
	}
}

func ptr[T any](v T) *T { return &v }

// Every figure of a comparison has a name for people, and fits into its column.
func TestFiguresFitTheirColumns(t *testing.T) {
	for _, take := range reporttest.Takes(t).Takes {
		for _, f := range take.Figures {
			name, value, difference := FigureName(f), FigureValue(f), FigureDifference(f)
			if name == "" || cells(name) > figureWidth {
				t.Errorf("%s is called %q", f.Name, name)
			}
			if cells(value) > valueWidth || cells(difference) > differenceWidth {
				t.Errorf("%s: %q and %q are too wide", f.Name, value, difference)
			}
		}
	}
}

func TestTextThatCannotBeWritten(t *testing.T) {
	for _, left := range []int{0, 40, 400} {
		if err := WriteAudit(&reporttest.Failing{Left: left}, reporttest.Day(t), Layout{}); !errors.Is(err,
			reporttest.ErrFull) {
			t.Errorf("an audit with room for %d bytes: %v", left, err)
		}
		if err := WriteComparison(&reporttest.Failing{Left: left}, reporttest.Takes(t), Layout{}); !errors.Is(err,
			reporttest.ErrFull) {
			t.Errorf("a comparison with room for %d bytes: %v", left, err)
		}
	}
	doc := reporttest.Day(t)
	doc.Clips = nil
	for _, left := range []int{0, 60} { // the failure, then the summary
		if err := WriteAudit(&reporttest.Failing{Left: left}, doc, Layout{}); !errors.Is(err, reporttest.ErrFull) {
			t.Errorf("failures with room for %d bytes: %v", left, err)
		}
	}
}

// A comparison of nothing but failures says so.
func TestComparisonOfFailures(t *testing.T) {
	c := reporttest.Takes(t)
	c.Takes, c.Clips = nil, nil
	c.Recommendation = advise.Recommendation{Reason: "There are no two takes to compare."}
	var b bytes.Buffer
	if err := WriteComparison(&b, c, Layout{}); err != nil {
		t.Fatal(err)
	}
	if got := b.String(); !strings.HasPrefix(got, "not measured: +quay/cut.mov") || !strings.HasSuffix(got,
		"compare.\n") {
		t.Errorf("got\n%s", got)
	}
}
