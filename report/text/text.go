// Package text writes an audit or a comparison as text for people. It has the one table of plain
// text, and the words for a clip's figures that pages use too.
package text
