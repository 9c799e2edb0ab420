package exact

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
)

type inner struct {
	N *float64
	S []string
}

type sample struct {
	I      int
	U      uint16
	F      float64
	G      float32
	B      bool
	T      string
	P      *inner
	Empty  []int
	None   []int
	M      map[string]inner
	NoMap  map[string]int
	A      [3]float64
	Raw    []byte
	Func   func() int
	Nested [][]float64
}

func sampled() sample {
	zero := 0.0
	return sample{I: -5, U: 65535, F: math.Float64frombits(0x7ff8000000000123), G: float32(math.Inf(-1)), B: true,
		T: "a\x00b", P: &inner{N: &zero, S: []string{}}, Empty: []int{}, M: map[string]inner{"z": {}, "a": {S: []string{""}}},
		A: [3]float64{1, math.Copysign(0, -1), 5e-324}, Raw: []byte{}, Func: one, Nested: [][]float64{nil, {}, {1}}}
}

func one() int { return 1 }

func codec() Codec {
	return With(Codec{}, Names[func() int]{
		Name: func(func() int) (string, error) { return "one", nil },
		Find: func(name string) (func() int, error) {
			if name != "one" {
				return nil, errors.New("no such function")
			}
			return one, nil
		}})
}

// What other encodings lose stays: nil beside empty, a pointer to zero, the sign of zero, the bits of
// an unknown number.
func TestNothingIsLost(t *testing.T) {
	c, in := codec(), sampled()
	b, err := c.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var out sample
	if err := c.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	if math.Float64bits(out.F) != math.Float64bits(in.F) || !math.Signbit(out.A[1]) || out.Func() != 1 {
		t.Errorf("numbers: %x, %v", math.Float64bits(out.F), out.A)
	}
	in.F, out.F, in.Func, out.Func = 0, 0, nil, nil
	if !reflect.DeepEqual(in, out) {
		t.Errorf("got  %#v\nwant %#v", out, in)
	}
	again, err := c.Marshal(sampled())
	if err != nil || !bytes.Equal(b, again) {
		t.Errorf("equal values are other bytes: %v", err)
	}
}

// Bytes that are cut off or changed are an error or another value, never a panic, and take no more
// memory than they are.
func TestDamagedBytes(t *testing.T) {
	c := codec()
	b, err := c.Marshal(sampled())
	if err != nil {
		t.Fatal(err)
	}
	for n := range b {
		if err := c.Unmarshal(b[:n], new(sample)); err == nil {
			t.Errorf("%d of %d bytes were enough", n, len(b))
		}
	}
	if err := c.Unmarshal(append(bytes.Clone(b), 0), new(sample)); !errors.Is(err, ErrDamaged) {
		t.Errorf("a byte more: %v", err)
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		bad := bytes.Clone(b)
		for range 1 + random.IntN(4) {
			bad[8+random.IntN(len(bad)-8)] = byte(random.IntN(256))
		}
		_ = c.Unmarshal(bad, new(sample))
	}
}

// A type that has changed since is told from the one that was written.
func TestOtherType(t *testing.T) {
	type before struct{ A, B int }
	type renamed struct{ A, C int }
	type wider struct {
		A int
		B float64
	}
	b, err := Codec{}.Marshal(before{1, 2})
	if err != nil {
		t.Fatal(err)
	}
	for _, to := range []any{new(renamed), new(wider)} {
		if err := (Codec{}).Unmarshal(b, to); !errors.Is(err, ErrOtherType) {
			t.Errorf("%T: %v", to, err)
		}
	}
}

// What cannot be written whole is refused before anything is written.
func TestNotData(t *testing.T) {
	for _, v := range []any{struct{ hidden int }{1}, struct{ C chan int }{}, struct{ V any }{}, map[int]string{}} {
		if _, err := (Codec{}).Marshal(v); err == nil {
			t.Errorf("%T was written", v)
		}
	}
}
