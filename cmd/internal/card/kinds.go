package card

import (
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"stopledger/decode"
	"stopledger/report"
)

// clipExtensions are the names' endings by which clips are known in a folder; a clip named by
// itself may be called anything. Numbered pictures are one clip (see sequenceFrom).
var clipExtensions = []string{
	".mov", ".mp4", ".m4v", ".mxf", ".mkv", ".webm", ".avi", ".mts", ".m2ts", ".ts", ".mpg", ".mpeg",
	".gxf", ".y4m", ".ivf", ".dv",
}

func isClipName(path string) bool { return slices.Contains(clipExtensions, ending(path)) }

// systemFolders are those of file systems and their repair: deleted files, no footage.
var systemFolders = map[string]bool{"LOST+FOUND": true, "SYSTEM VOLUME INFORMATION": true, "$RECYCLE.BIN": true}

// notRead is why a file that is no clip by its name is not tried.
func notRead(path string) *skip {
	if decode.IsPicture(path) {
		return &skip{report.SkipNotRead, "a single picture is not read unless it is named by itself"}
	}
	e := ending(path)
	if e == ".mpl" || e == ".mpls" {
		return &skip{report.SkipPlaylist, "a playlist is not read: where the camera split a recording into several " +
			"files, each is measured by itself"}
	}
	if e != "" {
		return &skip{report.SkipNotRead, "files of kind " + e + " are not read"}
	}
	return &skip{report.SkipNotRead, "a file without an ending is not read unless it is named by itself"}
}

// isReport tells a folder that an audit was written into, or is being. What it holds of the audit's is no
// footage; clips may lie there too.
func isReport(files []fs.DirEntry) bool {
	return slices.ContainsFunc(files, func(f fs.DirEntry) bool {
		return f.Name() == report.AuditDocument || f.Name() == report.FolderLock
	})
}

var reportNames = []string{report.IndexPage, report.ComparePage, report.AuditLog, report.FolderLock}

// ofReport tells what a run writes into the folder of its report, by name.
func ofReport(name string) bool {
	switch stem := strings.TrimSuffix(name, filepath.Ext(name)); {
	case slices.Contains(reportNames, name), report.IsPart(name):
		return true
	case stem == "audit" || stem == "compare" || stem == "ledger":
		return !isClipName(name)
	}
	return false
}

// ofClips tells a clip's page or picture, in the folders that a report has for them.
func ofClips(name string) bool {
	return report.IsPart(name) || report.IsClipPage(name) || report.StemOfPicture(name) != ""
}
