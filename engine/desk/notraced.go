//go:build !race

package desk

// raced says that this program carries no race detector.
const raced = false
