package schema

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// validator compiles a verb's schema with a validator of its own kind.
func validator(t *testing.T, verb string) *jsonschema.Schema {
	t.Helper()
	text, ok := Of(verb)
	if !ok {
		t.Fatalf("no schema for %s", verb)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(verb+".json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(verb + ".json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestEverySchemaCompiles(t *testing.T) {
	for _, verb := range Verbs() {
		validator(t, verb)
	}
	if _, ok := Of("curves"); ok {
		t.Error("a schema of a document that has none")
	}
}

// Golden documents, wherever the tests keep one, are valid under the schema that they name.
func TestGoldenDocumentsAreValid(t *testing.T) {
	seen := map[string]int{}
	err := filepath.WalkDir("../..", func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".json" || !strings.Contains(path, "testdata") {
			return err
		}
		raw, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		var head struct{ Schema string }
		if json.Unmarshal(raw, &head) != nil {
			return nil
		}
		for _, verb := range Verbs() {
			if documents[verb].name != head.Schema {
				continue
			}
			doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
			if err != nil {
				return err
			}
			seen[verb]++
			if err := validator(t, verb).Validate(doc); err != nil {
				t.Errorf("%s: %v", path, err)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen["audit"] == 0 || seen["compare"] == 0 {
		t.Errorf("documents seen: %v", seen)
	}
}

// What is not as the schema says is refused: a field that is gone, a word for a number.
func TestSchemaRefuses(t *testing.T) {
	s := validator(t, "audit")
	for name, text := range map[string]string{
		"nothing":          `{}`,
		"another schema":   `{"schema": "stopledger/audit/9"}`,
		"clips not a list": `{"schema":"stopledger/audit/2","clips":{}}`,
	} {
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if s.Validate(doc) == nil {
			t.Errorf("%s is valid", name)
		}
	}
}
