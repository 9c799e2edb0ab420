package find

// A Face is a face.
type Face struct{ Detection }

func readFaces(t *meter, opt Options) []Face { return nil }
