// Package disk tells how much room a file system has left.
package disk
