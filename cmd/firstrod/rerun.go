package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// rerunJSON is one decision made again.
type rerunJSON struct {
	Record   int64             `json:"record"`
	Bore     string            `json:"bore"`
	Kind     string            `json:"kind"`
	At       time.Time         `json:"at"`
	Rules    string            `json:"rules"`
	Release  bool              `json:"release"`
	Same     bool              `json:"same"`
	Findings int               `json:"findings"`
	Differs  []discrepancyJSON `json:"differs"`
	Late     []string          `json:"late"`
	Program  string            `json:"program"`
}

// discrepancyJSON is one thing that comes out otherwise.
type discrepancyJSON struct {
	About string `json:"about"`
	Key   string `json:"key"`
	Then  string `json:"then"`
	Now   string `json:"now"`
	Say   string `json:"say"`
}

// rerunAllJSON is all releases made again; only those that differ are listed.
type rerunAllJSON struct {
	OK       bool        `json:"ok"`
	Releases int         `json:"releases"`
	Differ   []rerunJSON `json:"differ"`
}

func (a *app) rerun() *cobra.Command {
	all := false
	cmd := &cobra.Command{
		Use:   "rerun [RECORD]",
		Short: "Make a decision on record again, with the rules, facts and clock of then",
		Long: `rerun folds the bore up to a record, opens the rule packs that the ledger kept
for it, and asks every rule again at the clock of then. Every finding that stood
must come out again; of a signature also the bytes that were signed, and all that
its release says. history shows the numbers of records.

With --all it does so for every release in the ledger, as a check for every night.
verify proves that nobody changed a record; rerun proves that what was recorded is
what the rules said.

EXIT STATUS  0 the same   4 it comes out otherwise, or what it needs is missing
1 could not be read   2 wrong usage`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if all == (len(args) == 1) {
				return usage(errors.New("name one record, or --all"))
			}
			p, err := openPast(a.config.Data)
			if err != nil {
				return err
			}
			if all {
				return errors.Join(a.rerunAll(cmd.Context(), p), p.close())
			}
			return errors.Join(a.rerunOne(cmd.Context(), p, args[0]), p.close())
		},
	}
	cmd.Flags().BoolVar(&all, "all", false, "every release in the ledger")
	return a.jsonFlag(cmd)
}

func (a *app) rerunOne(ctx context.Context, p *past, number string) error {
	seq, err := strconv.ParseInt(number, 10, 64)
	if err != nil || seq < 0 {
		return usage(fmt.Errorf("%q is not the number of a record", number))
	}
	r, ok, err := p.record(seq)
	if err != nil {
		return err
	}
	if !ok {
		return &engine.Error{Kind: engine.NotFound, Say: "there is no record " + number, Hint: "firstrod history lists them"}
	}
	if r.Bore == "" {
		return &engine.Error{Kind: engine.Usage, Say: fmt.Sprintf("record %d is about no bore; nothing was decided there", seq),
			Hint: "firstrod history lists what happened on bores"}
	}
	again, err := engine.NewRerunner(ctx, p, p, reopen)
	if err != nil {
		return err
	}
	same := false
	err = again.Bore(ctx, r.Bore, func(x ledger.Record) bool { return x.Seq == seq }, func(x engine.Rerun) error {
		same = x.Same()
		if a.json {
			return a.printJSON(toRerunJSON(x))
		}
		a.printRerun(x)
		return nil
	})
	if err == nil && !same {
		return errDiffers
	}
	return err
}

// rerunAll says what differs as it goes, and sums up.
func (a *app) rerunAll(ctx context.Context, p *past) error {
	again, err := engine.NewRerunner(ctx, p, p, reopen)
	if err != nil {
		return err
	}
	sum := rerunAllJSON{Differ: []rerunJSON{}}
	programs := map[string]int{}
	for _, line := range p.lines {
		err := again.Bore(ctx, line.Bore, func(r ledger.Record) bool { return r.Release != nil }, func(x engine.Rerun) error {
			sum.Releases++
			if x.Program != "" {
				programs[x.Program]++
			}
			if !x.Same() && !a.json {
				a.printRerun(x)
			}
			if !x.Same() {
				sum.Differ = append(sum.Differ, toRerunJSON(x))
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	if sum.OK = len(sum.Differ) == 0; a.json {
		err = a.printJSON(sum)
	} else {
		a.printRerunSum(sum, programs)
	}
	if err == nil && !sum.OK {
		return errDiffers
	}
	return err
}

func (a *app) printRerunSum(sum rerunAllJSON, programs map[string]int) {
	if sum.OK {
		a.printf("THE SAME: %s made again, and every finding came out as recorded.\n", count(sum.Releases, "release"))
	} else {
		a.printf("NOT THE SAME: %d of %s.\n", len(sum.Differ), count(sum.Releases, "release"))
	}
	for program, n := range programs {
		a.printf("For %s the program of then was another one: %s.\n", count(n, "release"), program)
	}
}

func (a *app) printRerun(x engine.Rerun) {
	r := x.Record
	at := fmt.Sprintf("record %d, %s on bore %s at %s", r.Seq, rerunKind(r), r.Bore, r.At.Format("2006-01-02 15:04:05Z"))
	if x.Same() {
		a.printf("THE SAME: %s. %s came out as recorded under rules %.8s.\n", at, count(x.Findings, "finding"), r.Rules)
		if r.Sign != nil {
			a.printf("The bytes that were signed are the same, bit for bit.\n")
		}
	} else {
		a.printf("NOT THE SAME: %s.\n", at)
		for _, d := range x.Differs {
			a.printf("    %s\n", sayDiscrepancy(d))
		}
	}
	for _, key := range x.Late {
		a.printf("    %s was broken then and is not now: the rule gave no answer in time.\n", key)
	}
	if x.Program != "" {
		a.printf("The program of then was another one: %s.\n", x.Program)
	}
}

// rerunKind is what happened in a record, in a word.
func rerunKind(r ledger.Record) string {
	if r.Release != nil {
		return "a release"
	}
	return string(r.Kind)
}

func toRerunJSON(x engine.Rerun) rerunJSON {
	r := x.Record
	out := rerunJSON{
		Record: r.Seq, Bore: r.Bore, Kind: string(r.Kind), At: r.At, Rules: r.Rules, Release: r.Release != nil,
		Same: x.Same(), Findings: x.Findings, Differs: []discrepancyJSON{}, Late: append([]string{}, x.Late...), Program: x.Program,
	}
	for _, d := range x.Differs {
		out.Differs = append(out.Differs, discrepancyJSON{string(d.What), d.Key, d.Then, d.Now, sayDiscrepancy(d)})
	}
	return out
}

// sayDiscrepancy is one difference in a sentence.
func sayDiscrepancy(d engine.Discrepancy) string {
	switch {
	case d.What == engine.AboutRules && d.Key == "record":
		return fmt.Sprintf("No record puts rules %.8s in force.", d.Then)
	case d.What == engine.AboutRules:
		return fmt.Sprintf("The packs of rules %.8s, SHA-256 %s, cannot be used: %s.", d.Then, d.Key, d.Now)
	case d.What == engine.AboutInput && d.Key != "signed":
		return fmt.Sprintf("What was signed, SHA-256 %s, cannot be used: %s.", d.Key, d.Now)
	case d.What == engine.AboutInput:
		return fmt.Sprintf("What was signed has SHA-256 %s; the records before it make %s.", d.Then, d.Now)
	case d.What == engine.AboutRelease && d.Key == "state":
		return fmt.Sprintf("Recorded as %s, but %s.", d.Then, d.Now)
	case d.What == engine.AboutRelease:
		return fmt.Sprintf("The release says %s: %s; it comes out as %s.", d.Key, orNothing(d.Then), orNothing(d.Now))
	case d.Then == "":
		return fmt.Sprintf("%s has no finding on record; it comes out as %s.", d.Key, d.Now)
	case d.Now == "":
		return fmt.Sprintf("%s is on record as %s; the rules have no such check there.", d.Key, d.Then)
	}
	return fmt.Sprintf("%s is on record as %s; it comes out as %s.", d.Key, d.Then, d.Now)
}

// count is a number and its noun.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}
