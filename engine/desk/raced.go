//go:build race

package desk

// raced says that this program carries the race detector, which keeps terabytes
// of address space beside the program's and makes it ten times slower.
const raced = true
