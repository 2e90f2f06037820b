package desk

import (
	"syscall"
	"time"
)

// confine bounds this process: computing time, memory, no files written, no
// image of the memory left behind. The soft limit of time is the hard one: Go
// does not die of the signal that the soft one sends. Where this process is
// bound more tightly already, that stays.
func confine(l Limits) error {
	most := map[int]uint64{
		syscall.RLIMIT_CPU:   uint64(max(1, l.CPU/time.Second)),
		syscall.RLIMIT_AS:    uint64(l.Space),
		syscall.RLIMIT_DATA:  uint64(l.Data),
		syscall.RLIMIT_FSIZE: 0,
		syscall.RLIMIT_CORE:  0,
	}
	if raced {
		delete(most, syscall.RLIMIT_AS)
		delete(most, syscall.RLIMIT_DATA)
	}
	for what, n := range most {
		var have syscall.Rlimit
		if err := syscall.Getrlimit(what, &have); err != nil {
			return err
		}
		n = min(n, have.Max)
		if err := syscall.Setrlimit(what, &syscall.Rlimit{Cur: n, Max: n}); err != nil {
			return err
		}
	}
	return nil
}
