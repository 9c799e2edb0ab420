package worker

// A Confinement is what workers may touch: they read these folders and files, write nothing and
// reach no network. The zero value confines nothing.
type Confinement struct {
	Read []string // folders, with what lies below, and files; nil for no confinement
}
