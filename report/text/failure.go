package text

import (
	"stopledger/decode/metadata"
	"stopledger/report"
)

// Failure says that a clip could not be measured, and why.
func Failure(f report.Failure, layout Layout) string {
	return Wrap("not measured: "+metadata.Printable(f.Path)+": "+metadata.Printable(f.Error), "", layout.Width)
}
