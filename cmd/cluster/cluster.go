// Package cluster holds a script that shares an audit out over many machines with one scheduler; the
// help topic of that name tells how with any.
package cluster

import _ "embed"

// Slurm is a script that runs an audit as a job array with Slurm, and merges it.
//
//go:embed slurm.sh
var Slurm string
