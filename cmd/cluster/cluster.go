// Package cluster holds how to share an audit out over many machines: what help tells of it, and a
// script for one scheduler.
package cluster

import _ "embed"

// Help tells how to audit in parts with any scheduler that has job arrays. It ends before Slurm.
//
//go:embed help.txt
var Help string

// Slurm is a script that runs an audit as a job array with Slurm, and merges it.
//
//go:embed slurm.sh
var Slurm string
