package cells

// A Mask marks cells of a grid that hold no light: mattes, logos, burned-in text. The zero value
// marks none.
type Mask []bool

// Has tells whether a cell is marked.
func (m Mask) Has(cell int) bool { return m != nil && m[cell] }

// Count returns how many cells are marked.
func (m Mask) Count() (n int) {
	for _, marked := range m {
		if marked {
			n++
		}
	}
	return n
}
