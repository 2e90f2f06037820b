//go:build !linux

package desk

import "os"

// confine does nothing here: the parent's clock is the only bound.
func confine(Limits) error { return nil }

// peak is not known here.
func peak(*os.ProcessState) int64 { return 0 }
