package lut

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const clfLog = `<Log inBitDepth="32f" outBitDepth="32f" style="log10"/>`

// clfOf wraps nodes in a list.
func clfOf(nodes string) string {
	return `<ProcessList id="x" compCLFversion="3">` + nodes + `</ProcessList>`
}

func clfLog10(style, params string) string {
	return clfOf(`<Log inBitDepth="32f" outBitDepth="32f" style="` + style + `">` + params + `</Log>`)
}

func clfTable(descriptors, dim, array string) string {
	return clfOf(descriptors + `<LUT1D inBitDepth="32f" outBitDepth="32f">` +
		`<Array dim="` + dim + `">` + array + `</Array></LUT1D>`)
}

// A refusal is a file that is refused, and what the message says of it.
type refusal struct{ name, content, says string }

const clfCamera = `<LogParams base="10" linSideBreak="0.01" linSideSlope="5" linSideOffset="0.05"/>`

var refusedCLF = []refusal{
	{"empty.clf", "", "is not XML"},
	{"cut.clf", `<ProcessList id="x" compCLFversion="3"><Log`, "not readable XML"},
	{"other.clf", `<html/>`, "not a ProcessList"},
	{
		"old.clf",
		`<ProcessList id="x" compCLFversion="2.0">` + clfLog + `</ProcessList>`,
		"version 3 is read",
	},
	{"none.clf", clfOf(""), "no Log or LUT1D"},
	{"many.clf", clfOf(strings.Repeat("<a/>", maxElements)), "elements"},
	{"two.clf", clfOf(clfLog + clfLog), "two Log or LUT1D"},
	{
		"unknown.clf",
		clfOf(`<LUT3D inBitDepth="32f" outBitDepth="32f"/>` + clfLog),
		"node 1, LUT3D: cannot be read as a curve",
	},
	{"depths.clf", clfOf(`<Log inBitDepth="32f" outBitDepth="9i" style="log10"/>`), "bit depths"},
	{
		"chain.clf",
		clfOf(`<Log inBitDepth="32f" outBitDepth="10i" style="log10"/>` +
			`<Matrix inBitDepth="32f" outBitDepth="32f">` +
			`<Array dim="3 3">1 0 0 0 1 0 0 0 1</Array></Matrix>`),
		"node 2, Matrix: takes 32f where the node before gives 10i",
	},
	{"style.clf", clfLog10("log3", ""), "its style is none of"},
	{"params.clf", clfLog10("linToLog", ""), "has no LogParams"},
	{"channel.clf", clfLog10("linToLog", `<LogParams channel="R"/>`), "for some channels only"},
	{
		"channels.clf",
		clfLog10("linToLog", `<LogParams channel="R"/>`+
			`<LogParams channel="G" base="3"/><LogParams channel="B"/>`),
		"channels differ",
	},
	{"nobreak.clf", clfLog10("cameraLinToLog", `<LogParams base="10"/>`), "linSideBreak"},
	{"break.clf", clfLog10("linToLog", clfCamera), "linSideBreak"},
	{"base.clf", clfLog10("linToLog", `<LogParams base="1"/>`), "base"},
	{"falls.clf", clfLog10("linToLog", `<LogParams base="0.5"/>`), "must increase"},
	{"nan.clf", clfLog10("linToLog", `<LogParams base="NaN"/>`), "not a number"},
	{"word.clf", clfLog10("linToLog", `<LogParams base="ten"/>`), "not readable XML"},
	{
		"undefined.clf",
		clfLog10("cameraLinToLog", `<LogParams base="10" linSideBreak="-1"/>`),
		"straight piece",
	},
	{
		"clamp.clf",
		clfOf(`<Range inBitDepth="32f" outBitDepth="32f"><minInValue>0</minInValue></Range>` + clfLog),
		"clamps",
	},
	{
		"range.clf",
		clfOf(`<Range style="noClamp" inBitDepth="32f" outBitDepth="32f">` +
			`<minInValue>0</minInValue></Range>` + clfLog),
		"maxInValue",
	},
	{
		"colour.clf",
		clfOf(`` +
			`<Matrix inBitDepth="32f" outBitDepth="32f">` +
			`<Array dim="3 3">1 0 0 0 2 0 0 0 1</Array></Matrix>` + clfLog),
		"colours neutrals",
	},
	{
		"mix.clf",
		clfOf(clfLog + `` +
			`<Matrix inBitDepth="32f" outBitDepth="32f">` +
			`<Array dim="3 3">0.5 0.5 0 0.5 0.5 0 0 0 1</Array></Matrix>`),
		"mixes channels",
	},
	{
		"matrix.clf",
		clfOf(`<Matrix inBitDepth="32f" outBitDepth="32f"><Array dim="3 3">1 0</Array></Matrix>` + clfLog),
		"2 numbers where dim says 9",
	},
	{
		"zero.clf",
		clfOf(`` +
			`<Matrix inBitDepth="32f" outBitDepth="32f">` +
			`<Array dim="3 3">0 0 0 0 0 0 0 0 0</Array></Matrix>` + clfLog),
		"must increase",
	},
	{"noarray.clf", clfOf(`<LUT1D inBitDepth="32f" outBitDepth="32f"/>`), "has no Array"},
	{"dim.clf", clfTable("", "4 2", "0 0 0 0 0 0 0 0"), "dim"},
	{"long.clf", clfTable("", "999999999 1", "0 1"), "dim"},
	{"short.clf", clfTable("", "3 1", "0 1"), "2 numbers where dim says 3"},
	{"differ.clf", clfTable("", "2 3", "0 0 0 1 1 0.5"), "entry 2: its channels differ"},
	{
		"half.clf",
		clfOf(`<LUT1D halfDomain="true" inBitDepth="16f" outBitDepth="16f">` +
			`<Array dim="2 1">0 1</Array></LUT1D>`),
		"half-floats",
	},
	{"straight.clf", clfTable("", "3 1", "0 0.5 1"), "cannot be told which side is light"},
	{
		"against.clf",
		clfTable("<InputDescriptor>Linear</InputDescriptor>", "3 1", "0 0.1 1"),
		"bends against",
	},
	{"down.clf", clfTable("", "4 1", "0 0.3 0.2 1"), "entry 3 does not lie above entry 2"},
	{"dark.clf", clfTable("", "3 1", "0 0.01 0.1"), "never reaches 18 % grey"},
	{"huge.clf", clfLog10("linToLog", `<LogParams logSideSlope="1e-300"/>`), "too large or too small"},
}

var refusedTables = []refusal{
	{"three.cube", "LUT_3D_SIZE 2\n0 0 0\n", "line 1: is a 3D table"},
	{"size.cube", "LUT_1D_SIZE 3\n0 0 0\n1 1 1\n", "has 2 entries where it says 3"},
	{"nosize.cube", "0 0 0\n1 1 1\n", "does not say how many"},
	{"wide.cube", "LUT_1D_SIZE 65537\n", "line 1: \"65537\" is not a whole number"},
	{"text.cube", "LUT_1D_SIZE 2\n0 0 zero\n", `line 2: "zero" is not a number`},
	{"nan.cube", "LUT_1D_SIZE 2\n0 0 nan\n", "line 2"},
	{"one.cube", "LUT_1D_SIZE 2\n0\n1\n", "an entry has 3 numbers"},
	{"flat.cube", "LUT_1D_SIZE 3\n0 0 0\n0 0 0\n0 0 0\n", "cannot be told"},
	{"domain.cube", "LUT_1D_SIZE 2\nDOMAIN_MAX 0 0 0\n0 0 0\n1 1 1\n", "its input goes from 0 to 0"},
	{"domains.cube", "LUT_1D_SIZE 2\nDOMAIN_MAX 1 2 1\n0 0 0\n1 1 1\n", "DOMAIN_MAX: its channels differ"},
	{"nodomain.cube", "LUT_1D_SIZE 2\nDOMAIN_MIN\n0 0 0\n1 1 1\n", "DOMAIN_MIN: has no number"},
	{"two.spi1d", "Version 2\n", "not version 1"},
	{"from.spi1d", "Version 1\nFrom 0\n", "From takes two numbers"},
	{"components.spi1d", "Version 1\nComponents 4\n", "Components"},
	{"words.txt", "a curve\nof words\n", "line 2"},
	{"three.txt", "0 0 0\n", "a row is two numbers"},
	{"nothing.txt", "# nothing\n", "has no rows"},
	{"codes.txt", "0 256\n0.18 1732\n0.9 2408\n", "10-bit scale"},
	{"back.txt", "0 0\n0.5 0.5\n0.4 0.6\n1 1\n", "entry 3 does not lie above entry 2"},
	{"binary.txt", strings.Repeat("\x00", 1<<17), "not a text table"},
}

// What is not understood is refused, and the message says what and where.
func TestLoadRefuses(t *testing.T) {
	for _, tc := range slices.Concat(refusedCLF, refusedTables) {
		path := filepath.Join(t.TempDir(), tc.name)
		if err := os.WriteFile(path, []byte(tc.content), 0o600); err != nil {
			t.Fatal(err)
		}
		c, err := Load(path)
		if err == nil {
			t.Errorf("%s was read as %s", tc.name, c.Name)
			continue
		}
		said := err.Error()
		if !strings.Contains(said, tc.says) || !strings.Contains(said, path) || strings.Contains(said, "\n") {
			t.Errorf("%s: %q, want one line with the path and %q", tc.name, err, tc.says)
		}
	}
}

func TestLoadRefusesWhatIsNoFile(t *testing.T) {
	if _, err := Load(filepath.Join(t.TempDir(), "absent.clf")); err == nil {
		t.Error("an absent file was read")
	}
	big := filepath.Join(t.TempDir(), "big.txt")
	if err := os.WriteFile(big, make([]byte, maxFileBytes+1), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(big); err == nil || !strings.Contains(err.Error(), "larger than") {
		t.Errorf("a file over the bound: %v", err)
	}
}
