package container

import (
	"strings"
	"testing"

	"stopledger/decode/metadata/build"
)

func TestXMLEncodings(t *testing.T) {
	const body = `<a b="ö"><c>ü</c></a>`
	const in16 = `<?xml version="1.0" encoding="UTF-16"?>` + body
	for name, p := range map[string][]byte{
		"plain":                   []byte(body),
		"UTF-8":                   []byte(`<?xml version="1.0" encoding="utf-8"?>` + body),
		"UTF-8 with a mark":       []byte("\uFEFF" + body),
		"zeros behind":            []byte(body + "\x00\x00"),
		"UTF-16, mark, big":       build.UTF16(in16, false, true),
		"UTF-16, mark, little":    build.UTF16(in16, true, true),
		"UTF-16, no mark, big":    build.UTF16(in16, false, false),
		"UTF-16, no mark, little": build.UTF16(in16, true, false),
	} {
		root, err := ParseXML(p)
		if err != nil || root.Name != "a" || root.Attr("b") != "ö" || root.Child("c").Content() != "ü" {
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
		"too large":         append([]byte("<a/>"), make([]byte, MaxXML)...),
		"not closed":        []byte("<a><b></a>"),
		"no element":        []byte("<?xml version='1.0'?>"),
		"empty":             nil,
	} {
		if root, err := ParseXML(p); err == nil {
			t.Errorf("%s: read as %+v", name, root)
		}
	}
	deep := strings.Repeat("<a>", maxDepth) + strings.Repeat("</a>", maxDepth)
	if _, err := ParseXML([]byte(deep)); err != nil {
		t.Errorf("%d deep: %v", maxDepth, err)
	}
	many := "<a>" + strings.Repeat("<b/>", maxElements-1) + "</a>"
	if _, err := ParseXML([]byte(many)); err != nil {
		t.Errorf("%d elements: %v", maxElements, err)
	}
}

// Text in a million pieces is joined without copying it anew for each.
func TestXMLTextInPieces(t *testing.T) {
	const pieces = 300000
	p := []byte("<a>" + strings.Repeat("x<!---->", pieces) + "</a>")
	root, err := ParseXML(p)
	if err != nil || len(root.text) != pieces {
		t.Errorf("%v", err)
	}
}

func TestElementsMayBeAskedOfNil(t *testing.T) {
	var e *Element
	if e.Child("a", "b") != nil || e.Within("a") != nil || e.Attr("a") != "" || e.Content() != "" || e.All("a") != nil {
		t.Error("nil has something")
	}
}
