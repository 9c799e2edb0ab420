package metadata

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"
)

// nonRealTime is clip metadata with one gamma and one set of primaries.
func nonRealTime(gamma, primaries string) []byte {
	return fmt.Appendf(nil, `<?xml version="1.0" encoding="UTF-8"?>
<NonRealTimeMeta xmlns="urn:schemas-professionalDisc:nonRealTimeMeta:ver.2.00">
 <LtcChangeTable tcFps="25"><LtcChange frameCount="0" value="52596317" status="increment"/></LtcChangeTable>
 <VideoFormat><VideoFrame captureFps="59.94p" formatFps="25p"/></VideoFormat>
 <Device manufacturer="Maker" modelName="ILME-T1" serialNo="0012"/><Lens modelName="FE 35"/>
 <AcquisitionRecord><Group name="CameraUnitMetadataSet">
  <Item name="CaptureGammaEquation" value="%s"/><Item name="CaptureColorPrimaries" value="%s"/>
  <Item name="CodingEquations" value="rec709"/>
 </Group></AcquisitionRecord>
</NonRealTimeMeta>`, gamma, primaries)
}

func inUTF16(s string, little, mark bool) []byte {
	units := utf16.Encode([]rune(s))
	if mark {
		units = append([]uint16{0xFEFF}, units...)
	}
	var p []byte
	for _, u := range units {
		if b := u16(int(u)); little {
			p = append(p, b[1], b[0])
		} else {
			p = append(p, b...)
		}
	}
	return p
}

func TestXMLEncodings(t *testing.T) {
	const body = `<a b="ö"><c>ü</c></a>`
	const in16 = `<?xml version="1.0" encoding="UTF-16"?>` + body
	for name, p := range map[string][]byte{
		"plain":                   []byte(body),
		"UTF-8":                   []byte(`<?xml version="1.0" encoding="utf-8"?>` + body),
		"UTF-8 with a mark":       []byte("\uFEFF" + body),
		"zeros behind":            []byte(body + "\x00\x00"),
		"UTF-16, mark, big":       inUTF16(in16, false, true),
		"UTF-16, mark, little":    inUTF16(in16, true, true),
		"UTF-16, no mark, big":    inUTF16(in16, false, false),
		"UTF-16, no mark, little": inUTF16(in16, true, false),
	} {
		root, err := parseXML(p)
		if err != nil || root.name != "a" || root.attr("b") != "ö" || root.child("c").content() != "ü" {
			t.Errorf("%s: %+v, %v", name, root, err)
		}
	}
}

func TestXMLRefused(t *testing.T) {
	for name, p := range map[string][]byte{
		"latin 1":           []byte(`<?xml version="1.0" encoding="ISO-8859-1"?><a/>`),
		"not UTF-8":         []byte("<a>\xFF\xFE</a>"),
		"own entity":        []byte(`<!DOCTYPE a [<!ENTITY x "y">]><a>&x;</a>`),
		"outside entity":    []byte(`<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]><a>&x;</a>`),
		"too deep":          []byte(strings.Repeat("<a>", maxDepth+1) + strings.Repeat("</a>", maxDepth+1)),
		"too many elements": []byte("<a>" + strings.Repeat("<b/>", maxElements) + "</a>"),
		"too large":         append([]byte("<a/>"), make([]byte, maxXML)...),
		"not closed":        []byte("<a><b></a>"),
		"no element":        []byte("<?xml version='1.0'?>"),
		"empty":             nil,
	} {
		if root, err := parseXML(p); err == nil {
			t.Errorf("%s: read as %+v", name, root)
		}
	}
	deep := strings.Repeat("<a>", maxDepth) + strings.Repeat("</a>", maxDepth)
	if _, err := parseXML([]byte(deep)); err != nil {
		t.Errorf("%d deep: %v", maxDepth, err)
	}
	many := "<a>" + strings.Repeat("<b/>", maxElements-1) + "</a>"
	if _, err := parseXML([]byte(many)); err != nil {
		t.Errorf("%d elements: %v", maxElements, err)
	}
}

// Text in a million pieces is joined without copying it anew for each.
func TestXMLTextInPieces(t *testing.T) {
	const pieces = 300000
	p := []byte("<a>" + strings.Repeat("x<!---->", pieces) + "</a>")
	root, err := parseXML(p)
	if err != nil || len(root.text) != pieces {
		t.Errorf("%v", err)
	}
}

func TestElementsMayBeAskedOfNil(t *testing.T) {
	var e *element
	if e.child("a", "b") != nil || e.within("a") != nil || e.attr("a") != "" || e.content() != "" || e.all("a") != nil {
		t.Error("nil has something")
	}
}

func TestOtherXMLIsNamed(t *testing.T) {
	n := &notes{}
	n.fromDocument(document{OriginSidecar, "x.XML", []byte("<Other/>")})
	n.fromDocument(document{OriginSidecar, "y.XML", []byte("<Other>")})
	if len(n.unknown) != 1 || !strings.Contains(n.unknown[0], "Other") || len(n.problems) != 1 ||
		!bytes.HasPrefix([]byte(n.problems[0]), []byte("y.XML")) {
		t.Errorf("%q, %q", n.unknown, n.problems)
	}
}
