package desk

import (
	"syscall"
	"time"
)

// confine bounds this process: computing time, memory, no files written, no
// image of the memory left behind. The soft limit of time is the hard one: Go
// does not die of the signal that the soft one sends.
func confine(l Limits) error {
	for what, most := range map[int]uint64{
		syscall.RLIMIT_CPU:   uint64(max(1, l.CPU/time.Second)),
		syscall.RLIMIT_AS:    uint64(l.Memory),
		syscall.RLIMIT_FSIZE: 0,
		syscall.RLIMIT_CORE:  0,
	} {
		if err := syscall.Setrlimit(what, &syscall.Rlimit{Cur: most, Max: most}); err != nil {
			return err
		}
	}
	return nil
}
