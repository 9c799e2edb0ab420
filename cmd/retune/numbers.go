package main

import (
	"fmt"
	"io"
	"math"
	"reflect"
	"strings"

	"stopledger/analyze/detect"
)

// A number is one of the detector's parameters.
type number struct {
	name  string
	value reflect.Value // addressable, a float64 or an int
}

// numbersOf lists the numbers of params whose name holds part, whatever the case of its letters.
func numbersOf(params *detect.Params, part string) (all []number) {
	walk("", reflect.ValueOf(params).Elem(), func(n number) {
		if strings.Contains(strings.ToLower(n.name), strings.ToLower(part)) {
			all = append(all, n)
		}
	})
	return all
}

// walk calls visit for the numbers in a value, named by the way to them.
func walk(name string, v reflect.Value, visit func(number)) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			walk(strings.TrimPrefix(name+"."+v.Type().Field(i).Name, "."), v.Field(i), visit)
		}
	case reflect.Array:
		for i := range v.Len() {
			walk(fmt.Sprintf("%s[%d]", name, i), v.Index(i), visit)
		}
	case reflect.Float64, reflect.Int:
		visit(number{name, v})
	}
}

// vary prints what comes of the number times each factor, and puts it back.
func (n number) vary(out io.Writer, factors []float64, look func() score) {
	was := reflect.New(n.value.Type()).Elem()
	was.Set(n.value)
	defer n.value.Set(was)
	fmt.Fprintf(out, "%s = %v\n", n.name, was.Interface())
	for _, f := range factors {
		n.value.Set(was)
		if !n.multiply(f) {
			fmt.Fprintf(out, "  x %-5g the same\n", f)
			continue
		}
		fmt.Fprintf(out, "  x %-5g %-8.4v %v\n", f, n.value.Interface(), look())
	}
}

// multiply multiplies the number, a whole one rounded; it reports whether that changed it.
func (n number) multiply(by float64) bool {
	if n.value.Kind() == reflect.Int {
		was := n.value.Int()
		n.value.SetInt(int64(math.Round(float64(was) * by)))
		return n.value.Int() != was
	}
	was := n.value.Float()
	n.value.SetFloat(was * by)
	return n.value.Float() != was
}
