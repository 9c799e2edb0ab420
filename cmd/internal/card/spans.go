package card

// joinSpans makes one entry of clips that say of themselves, or whose sidecars say, that they are
// parts of one recording. Both sides must say so. It stands where the first part does; the others
// are no entries of their own. What is named by itself is left as it is.
func joinSpans(found []item, looking func(path string)) {
	by := map[string]*item{} // by what each part calls itself
	says := map[*item]span{}
	for i := range found {
		f := &found[i]
		if !f.listed || f.entry == nil || f.entry.Err != nil || f.entry.sequence.Count > 0 {
			continue
		}
		looking(f.path)
		if s := spanOf(f.path); s.Self != "" && s.Previous+s.Next != "" {
			says[f] = s
			if by[s.Self] == nil {
				by[s.Self] = f
			}
		}
	}
	next := func(f *item) *item {
		n := by[says[f].Next]
		if says[f].Next == "" || n == nil || n == f || says[n].Previous != says[f].Self || by[says[f].Self] != f {
			return nil
		}
		return n
	}
	isNext := map[*item]bool{}
	for f := range says {
		isNext[next(f)] = true
	}
	for f := range says {
		if !isNext[f] { // in a loop every part follows another, and none is joined
			join(f, next)
		}
	}
}

func join(f *item, next func(*item) *item) {
	files := []string{f.path}
	for n := next(f); n != nil; n = next(n) {
		files = append(files, n.path)
		n.entry = nil
	}
	if len(files) > 1 {
		f.entry = newClip(files...)
	}
}
