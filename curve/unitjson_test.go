package curve

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"
)

// everyUnit has a field of each quantity that goes to JSON.
type everyUnit struct {
	Stops    Stops        `json:"stops"`
	Light    Light        `json:"light"`
	Code     Code         `json:"code"`
	Variance CodeVariance `json:"variance"`
	Percent  Percent      `json:"percent"`
	Decibels Decibels     `json:"decibels"`
	Share    Share        `json:"share"`
	Ratio    Ratio        `json:"ratio"`
	Amount   Amount       `json:"amount"`
	Seconds  Seconds      `json:"seconds"`
}

func allUnits(v float64) everyUnit {
	return everyUnit{
		Stops(v), Light(v), Code(v), CodeVariance(v), Percent(v), Decibels(v),
		Share(v), Ratio(v), Amount(v), Seconds(v),
	}
}

func written(t testing.TB, v everyUnit) string {
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func read(t testing.TB, s string) everyUnit {
	var v everyUnit
	if err := json.Unmarshal([]byte(s), &v); err != nil {
		t.Fatalf("%s: %v", s, err)
	}
	return v
}

// Four decimals for levels and ratios, six for shares, amounts and times, five significant digits
// for light.
func TestDigitsInJSON(t *testing.T) {
	want := `{"stops":1.2346,"light":1.2346,"code":1.2346,"variance":1.2346,"percent":1.2346,` +
		`"decibels":1.2346,"share":1.234568,"ratio":1.2346,"amount":1.234568,"seconds":1.234568}`
	if got := written(t, allUnits(1.23456789)); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	for _, test := range []struct {
		v    any
		want string
	}{
		{Light(0.000123456789), "0.00012346"}, {Light(123456.7), "123460"}, {Light(1.5e-9), "1.5e-9"},
		{Light(math.MaxFloat64), "1.7976931348623157e+308"}, {Light(math.Copysign(0, -1)), "0"},
		{Stops(-0.00004), "0"}, {Stops(0.00005), "0.0001"}, {Stops(-0.00005), "-0.0001"}, {Share(0.0000004), "0"},
		{[]Stops{1, Stops(math.Inf(-1)), 3}, "[1,null,3]"}, {(*Stops)(nil), "null"},
	} {
		got, err := json.Marshal(test.v)
		if err != nil || string(got) != test.want {
			t.Errorf("%v is written %s (%v), want %s", test.v, got, err, test.want)
		}
	}
}

// What is not finite is null, and null is not measured.
func TestUnknownInJSON(t *testing.T) {
	want := `{"stops":null,"light":null,"code":null,"variance":null,"percent":null,"decibels":null,` +
		`"share":null,"ratio":null,"amount":null,"seconds":null}`
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := written(t, allUnits(v)); got != want {
			t.Errorf("%g is written %s", v, got)
		}
	}
	back := read(t, want)
	if again := written(t, back); again != want {
		t.Errorf("null comes back as %s", again)
	}
	for i, v := range []float64{float64(back.Stops), float64(back.Light), float64(back.Share), float64(back.Seconds)} {
		if !math.IsNaN(v) {
			t.Errorf("quantity %d: null is read as %g, want NaN", i, v)
		}
	}
}

func TestJSONThatIsNoNumber(t *testing.T) {
	for _, s := range []string{`"1"`, `true`, `[1]`, `{}`, `1e999`} {
		var v Stops
		if err := json.Unmarshal([]byte(s), &v); err == nil {
			t.Errorf("%s is read as %g", s, v)
		}
	}
}

// What was written once is read and written again to the same bytes, and lies within half its
// last digit of the number.
func TestJSONRoundTrip(t *testing.T) {
	const seed = 41
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 5000 {
		v := rng.NormFloat64() * math.Exp2(40*rng.Float64()-20)
		once := written(t, allUnits(v))
		back := read(t, once)
		if again := written(t, back); again != once {
			t.Fatalf("%v: %s, then %s (seed %d)", v, once, again, seed)
		}
		rounding := 1e-15 * math.Abs(v)
		for _, pair := range [][2]float64{
			{float64(back.Stops), 0.5e-4}, {float64(back.Percent), 0.5e-4}, {float64(back.Share), 0.5e-6},
			{float64(back.Seconds), 0.5e-6}, {float64(back.Light), 0.5e-4 * math.Abs(v)},
		} {
			if off := math.Abs(pair[0] - v); off > pair[1]*(1+1e-9)+rounding {
				t.Fatalf("%v comes back off by %g, want at most %g (seed %d)", v, off, pair[1], seed)
			}
		}
	}
}

func FuzzUnitsJSON(f *testing.F) {
	f.Add([]byte(`{"stops":1.65,"light":1.797693134862315708e308,"share":null}`))
	f.Add([]byte(`{"light":-0,"code":1e-320,"seconds":-1e300}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var v everyUnit
		if json.Unmarshal(data, &v) != nil {
			return
		}
		once := written(t, v)
		if again := written(t, read(t, once)); again != once {
			t.Errorf("%s, then %s", once, again)
		}
		if bytes.Contains([]byte(once), []byte("-0,")) {
			t.Errorf("minus nothing: %s", once)
		}
	})
}
