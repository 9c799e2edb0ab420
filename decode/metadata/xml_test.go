package metadata

import (
	"bytes"
	"strings"
	"testing"

	"stopledger/decode/metadata/container"
)

func TestOtherXMLIsNamed(t *testing.T) {
	n := &notes{}
	n.fromDocument(document{OriginSidecar, container.Document{Where: "x.XML", Data: []byte("<Other/>")}})
	n.fromDocument(document{OriginSidecar, container.Document{Where: "y.XML", Data: []byte("<Other>")}})
	if len(n.unknown) != 1 || !strings.Contains(n.unknown[0], "Other") || len(n.problems) != 1 ||
		!bytes.HasPrefix([]byte(n.problems[0]), []byte("y.XML")) {
		t.Errorf("%q, %q", n.unknown, n.problems)
	}
}
