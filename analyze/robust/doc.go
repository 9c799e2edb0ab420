// Package robust is the one home of the statistics that stand up to outliers, and of the fits and
// distributions they rest on. Its functions take plain numbers: the unit of what comes out is that
// of what goes in, unless said otherwise. None changes its arguments.
package robust
