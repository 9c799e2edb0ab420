package audit

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"stopledger/cmd/internal/disk"
	"stopledger/report"
)

// Names of the documents in a report's folder.
const (
	auditDocument   = report.AuditDocument
	auditText       = "audit.txt"
	compareDocument = "compare.json"
	compareTable    = "compare.csv"
	compareText     = "compare.txt"
)

// checkEarlier looks at what lies in the folder of a report. A report of the same verb is written
// anew. What another verb wrote, hours of measuring perhaps, and files of other origin are never
// replaced or left among pages they do not belong to: the folder is refused.
func checkEarlier(dir, verb string) error {
	audit, err := schemaOf(dir, auditDocument, "stopledger/audit/")
	if err != nil {
		return err
	}
	compared, err := schemaOf(dir, compareDocument, "stopledger/compare/")
	switch {
	case err != nil:
		return err
	case compared && verb != "compare":
		return fmt.Errorf("--out %s holds a comparison of takes, which its pages would mix with: %s", dir, elsewhere)
	case audit && !compared && verb == "compare":
		return fmt.Errorf("--out %s holds an audit, which the takes would replace: %s", dir, elsewhere)
	case audit && verb == "merge" && !isMerged(dir):
		return fmt.Errorf("--out %s holds an audit, which the merged report would replace: %s", dir, elsewhere)
	case audit || compared, verb != "compare" && verb != "merge" && isPlanned(dir):
		return nil
	}
	for _, page := range []string{report.IndexPage, report.ComparePage} {
		if _, err := os.Lstat(filepath.Join(dir, page)); err == nil {
			return foreign(dir, page)
		}
	}
	return nil
}

// elsewhere is what to do about a folder that is refused.
const elsewhere = "name another folder, or clear that one"

// schemaOf reports whether a file of ours is there: the schema stands at its beginning. A file of
// that name that is not ours is an error.
func schemaOf(dir, name, schema string) (bool, error) {
	f, err := disk.Open(filepath.Join(dir, name))
	if errors.Is(err, disk.ErrNoFile) {
		return false, foreign(dir, name)
	}
	if err != nil {
		return false, nil // what cannot be read cannot be told; writing will say what is wrong
	}
	defer f.Close()
	const enough = 512 // bytes: it is the first field
	head, _ := io.ReadAll(io.LimitReader(f, enough))
	if !bytes.Contains(head, []byte(`"`+schema)) {
		return false, foreign(dir, name)
	}
	return true, nil
}

func foreign(dir, name string) error {
	return fmt.Errorf("--out %s holds %s, which stopledger did not write: name another folder", dir, name)
}
