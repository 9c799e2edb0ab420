// Package ocio lets tests ask OpenColorIO, an independent reader and evaluator, for what a
// transform makes of neutrals.
package ocio

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// systemPython is Debian's, the one its python3-pyopencolorio belongs to.
const systemPython = "/usr/bin/python3"

// script prints, for each transform, its name and then n and linear light for 4,096 n
// between 0 and 1, computed by OpenColorIO on neutral R = G = B with optimisation off.
const script = `
import sys
import PyOpenColorIO as ocio
config = ocio.Config.CreateRaw()
def builtin(style):
    return ocio.BuiltinTransform(style=style)
def inverse(transform):
    transform.setDirection(ocio.TRANSFORM_DIR_INVERSE)
    return transform
def decode(name):
    if name == "moncurve 2.4/0.055":
        return ocio.ExponentWithLinearTransform(gamma=[2.4, 2.4, 2.4, 1], offset=[0.055, 0.055, 0.055, 0])
    if name.startswith("file "):
        return ocio.FileTransform(src=name[5:], interpolation=ocio.INTERP_LINEAR)
    if name == "exponent 2.4":
        return ocio.ExponentTransform(value=[2.4, 2.4, 2.4, 1])
    return builtin(name)
for name in sys.stdin.read().splitlines():
    processor = config.getProcessor(decode(name))
    cpu = processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
    print("transform", name, sep="\t")
    for i in range(4096):
        n = i / 4095
        print(n, *cpu.applyRGB([n, n, n]), sep="\t")
`

// Ramps returns, by name, n and R, G, B for n = 0 .. 1 in 4,096 steps of each transform: a built-in
// one, "file PATH", or one that script names. It skips the test where there is no OpenColorIO.
func Ramps(t testing.TB, names []string) map[string][][4]float64 {
	t.Helper()
	needed(t)
	cmd := exec.Command(systemPython, "-c", script)
	cmd.Stdin = strings.NewReader(strings.Join(names, "\n"))
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	ramps, err := parse(string(out))
	if err != nil {
		t.Fatal(err)
	}
	return ramps
}

// needed skips the test where there is no OpenColorIO.
func needed(t testing.TB) {
	t.Helper()
	if out, err := exec.Command(systemPython, "-c", "import PyOpenColorIO").CombinedOutput(); err != nil {
		t.Skipf("not compared: %s cannot import PyOpenColorIO (apt package python3-pyopencolorio): %s",
			systemPython, out)
	}
}

// parse reads what script prints.
func parse(printed string) (map[string][][4]float64, error) {
	ramps, name := map[string][][4]float64{}, ""
	for lines := bufio.NewScanner(strings.NewReader(printed)); lines.Scan(); {
		fields := strings.Split(lines.Text(), "\t")
		if fields[0] == "transform" {
			name = strings.Join(fields[1:], "")
			continue
		}
		if len(fields) != 4 {
			return nil, fmt.Errorf("%s: a row of %d numbers, want n, R, G, B", name, len(fields))
		}
		var v [4]float64
		for i, f := range fields {
			var err error
			if v[i], err = strconv.ParseFloat(f, 64); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
		}
		ramps[name] = append(ramps[name], v)
	}
	return ramps, nil
}
