package ocio

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"testing"
)

// coloursScript reads files and colours as JSON and prints what each file makes of each colour.
const coloursScript = `
import json, sys
import PyOpenColorIO as ocio
asked = json.load(sys.stdin)
config = ocio.Config.CreateRaw()
ways = {"trilinear": ocio.INTERP_LINEAR, "tetrahedral": ocio.INTERP_TETRAHEDRAL, "": ocio.INTERP_DEFAULT}
made = []
for f in asked["Files"]:
    t = ocio.FileTransform(src=f["Path"], interpolation=ways[f["Between"]])
    t.setCDLStyle(ocio.CDL_ASC)
    if f["ID"]:
        t.setCCCId(f["ID"])
    cpu = config.getProcessor(t).getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
    out = cpu.applyRGB([v for c in asked["Colours"] for v in c])
    made.append([out[i:i + 3] for i in range(0, len(out), 3)])
json.dump(made, sys.stdout)
`

// A File is a transform's. Colour decisions are clamped as ASC CDL 1.2 has it.
type File struct {
	Path    string
	Between string // how it is read between the points of a 3D table: trilinear, tetrahedral, or "" as it says
	ID      string // of the colour decision in a collection; "" for other files
}

// Colours returns what each file makes of each colour. It skips the test where there is no OpenColorIO.
func Colours(t testing.TB, files []File, colours [][3]float64) [][][3]float64 {
	t.Helper()
	needed(t)
	asked, err := json.Marshal(map[string]any{"Files": files, "Colours": colours})
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(systemPython, "-c", coloursScript)
	cmd.Stdin = bytes.NewReader(asked)
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, said.String())
	}
	var made [][][3]float64
	if err := json.Unmarshal(out, &made); err != nil {
		t.Fatal(err)
	}
	return made
}
