// Command firstrod asks a horizontal-directional-drilling crew for each value
// in turn, proves every rule, keeps a record nobody can quietly rewrite, and
// says "ready to drill" only when every rule holds and two people have signed.
//
// Start with "firstrod chat"; "firstrod chat --demo" shows the whole job.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // sites have zones that a bare machine may not know
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})
	stop()
	os.Exit(code)
}
