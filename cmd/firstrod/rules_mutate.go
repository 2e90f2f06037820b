package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"firstrod/engine"
	"firstrod/engine/rules"
)

// mutate asks whether the tests would notice slips. The report is nil when that
// could not be found out.
func (a *app) mutate(ctx context.Context, t tested) (*slipsOfPackJSON, error) {
	list, known, err := t.explained()
	if err != nil {
		return nil, err
	}
	report, err := t.mutate(ctx, rules.MutateOptions{Workers: 2, Progress: a.progress()})
	if err != nil {
		return nil, err
	}
	stale := report.Settle(list, known)
	v := &slipsOfPackJSON{report.Total(), report.Killed, report.Refused, report.Explained(), []slipJSON{}}
	for _, m := range report.Survivors {
		v.Survivors = append(v.Survivors, slipJSON{m.File, m.Line, m.Kind, m.Before, m.After})
	}
	if !a.json {
		for _, m := range report.Survivors {
			a.printf("%s:%d: no test notices this slip:\n    %s\n    %s\n", t.slip(m), m.Line, m.Before, m.After)
		}
		a.printf("%d slips made: %d noticed, %d cannot be loaded, %d explained, %d unnoticed.\n",
			v.Made, v.Noticed, v.Refused, v.Explained, len(v.Survivors))
	}
	return v, errors.Join(stale, report.Err())
}

// progress counts on a terminal and is silent otherwise.
func (a *app) progress() func(done, total int) {
	if !isTerminal(a.err) {
		return nil
	}
	return func(done, total int) {
		end := "\r"
		if done == total {
			end = "\r\x1b[K"
		}
		fmt.Fprintf(a.err, "%d of %d slips%s", done, total, end)
	}
}

// explained reads the list beside the folder of a pack, where there is one.
func (t tested) explained() (list string, known []rules.Explained, err error) {
	if t.name == "" {
		return "", nil, nil
	}
	list = filepath.Clean(t.dir())
	if end := filepath.Base(list); end == "." || end == ".." {
		if list, err = filepath.Abs(list); err != nil {
			return "", nil, err
		}
	}
	list += ".survivors.yaml"
	text, err := os.ReadFile(list)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return list, nil, nil
	case err != nil:
		return "", nil, &engine.Error{Kind: engine.Rules, Say: "the explained survivors cannot be read", Err: err}
	}
	known, err = rules.ReadExplained(list, text)
	return list, known, err
}
