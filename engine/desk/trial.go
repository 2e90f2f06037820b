package desk

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
	"time"

	"firstrod/engine"
)

// Limits bound a trial. Where they are 0, the values of [DefaultLimits] hold.
// All but Wall are kept by the system, on Linux only; elsewhere Wall is all
// there is.
type Limits struct {
	CPU   time.Duration // computing time of all threads, cut to whole seconds
	Space int64         // bytes of address space; below 1 GiB no Go program starts
	Data  int64         // bytes that can be written to
	Wall  time.Duration // by the clock, kept by the parent
}

// DefaultLimits are several times what a real set of rules needs.
func DefaultLimits() Limits {
	if raced {
		return Limits{CPU: 30 * time.Second, Space: 4 << 30, Data: 512 << 20, Wall: 100 * time.Second}
	}
	return Limits{CPU: 3 * time.Second, Space: 4 << 30, Data: 512 << 20, Wall: 20 * time.Second}
}

func (l Limits) withDefaults() Limits {
	d := DefaultLimits()
	return Limits{cmp.Or(l.CPU, d.CPU), cmp.Or(l.Space, d.Space), cmp.Or(l.Data, d.Data), cmp.Or(l.Wall, d.Wall)}
}

// Child is the program that a trial runs in: this very program, as a rule, told
// by Args or Env to call [Judge].
type Child struct {
	Exe  string   // os.Executable
	Name string   // what it is called as; "" means Exe
	Args []string // without the name
	Env  []string // all of its environment; secrets have no business there
}

// Bounds on what a child says.
const (
	maxVerdict = 1 << 20
	maxTrace   = 8 << 10
)

// verdict is what a child says of an archive.
type verdict struct {
	Sum    string  `json:"sum"` // of the files it has looked at
	OK     bool    `json:"ok"`
	Say    string  `json:"say"`
	Hint   string  `json:"hint"`
	Faults []Fault `json:"faults"`
}

// Trial looks at rules in a process of its own, which may take no more than the
// limits, and gives nil if it found them good. Anything but a clear yes about
// these very files is an error: a *Refusal with what the child said, or an
// *engine.Error that names the limit.
func Trial(ctx context.Context, child Child, c Candidate, limits Limits) error {
	limits = limits.withDefaults()
	archive, err := c.Archive()
	if err != nil {
		return err
	}
	ctx, done := context.WithTimeout(ctx, limits.Wall)
	defer done()
	out, trace := &capped{most: maxVerdict}, &capped{most: maxTrace}
	cmd := exec.CommandContext(ctx, child.Exe)
	cmd.Args = append([]string{cmp.Or(child.Name, child.Exe)}, child.Args...)
	cmd.Env = append([]string{}, child.Env...) // never nil, which would mean ours
	cmd.Stdin, cmd.Stdout, cmd.Stderr = bytes.NewReader(archive), out, trace
	cmd.WaitDelay = time.Second
	cmd.Dir = os.TempDir()
	err = cmd.Run()
	switch {
	case ctx.Err() != nil:
		return ended(ctx, limits, err)
	case err != nil:
		return killed(cmd.ProcessState, trace.String(), limits, err)
	}
	return readVerdict(out.Bytes(), c.Sum)
}

const bombHint = "look for loops or lists that stand in each other, and for very large numbers, in what was changed last"

// ended is a trial that the clock or the caller ended.
func ended(ctx context.Context, limits Limits, err error) error {
	if !errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return ctx.Err()
	}
	return &engine.Error{
		Kind: engine.Rules, Say: fmt.Sprintf("the trial of the rules took longer than %s", limits.Wall), Hint: bombHint, Err: err,
	}
}

// starved is how the Go runtime, with and without C, ends where it gets no more
// memory: for a value, for its own lists, or for the stack of a thread. The words are
// those of its source.
var starved = []string{
	"out of memory", "cannot allocate memory", "cannot map pages", "failed to allocate aligned heap memory",
	"failed to reserve page summary memory", "malloc failed", "pthread_create failed", "failed to create new OS thread",
}

// killed is a trial that ended without a verdict.
func killed(state *os.ProcessState, trace string, limits Limits, err error) error {
	e := &engine.Error{Kind: engine.Rules, Hint: bombHint, Err: errors.Join(err, traced(trace))}
	switch {
	case state == nil:
		e.Say, e.Hint, e.Kind = "the trial of the rules could not be started", "", engine.Internal
	case slices.ContainsFunc(starved, func(words string) bool { return strings.Contains(trace, words) }):
		e.Say = fmt.Sprintf("the rules wanted more than %d MiB of memory", limits.Data>>20)
	case state.UserTime()+state.SystemTime() >= limits.CPU/3*2: // it is counted in two ways, which differ
		e.Say = fmt.Sprintf("the rules took more than %s of computing time", limits.CPU)
	default:
		// At the bound of its memory the Go runtime does not always find words for it.
		e.Say = "the trial of the rules ended without a result"
	}
	return e
}

func traced(trace string) error {
	if trace == "" {
		return nil
	}
	return errors.New(trace)
}

// readVerdict takes one verdict, about the files that were asked about.
func readVerdict(raw []byte, sum string) error {
	var v verdict
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.DisallowUnknownFields()
	err := dec.Decode(&v)
	switch {
	case err != nil || dec.More():
		return &engine.Error{Kind: engine.Internal, Say: "the trial of the rules gave no clear result", Err: err}
	case v.OK && v.Sum == sum:
		return nil
	case v.OK:
		return &engine.Error{Kind: engine.Internal, Say: "the trial was about other rules"}
	}
	return &Refusal{&engine.Error{Kind: engine.Rules, Say: cmp.Or(v.Say, "the trial refused the rules"), Hint: v.Hint}, v.Faults}
}

// capped keeps the first bytes that are written to it.
type capped struct {
	bytes.Buffer
	most int
}

func (c *capped) Write(p []byte) (int, error) {
	if room := c.most - c.Len(); room < len(p) {
		c.Buffer.Write(p[:room])
		return len(p), nil // a full stop would kill the child before it says why
	}
	return c.Buffer.Write(p)
}
