package main

import (
	"context"
	"os"
	"runtime"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/desk"
	"firstrod/engine/rules"
)

// rulesTrial is what this program runs itself as to try rules that nobody knows
// yet. No person types it.
func (a *app) rulesTrial() *cobra.Command {
	return &cobra.Command{
		Use: "trial", Hidden: true,
		Short: "Load an archive of rules from standard input under tight limits and say how it went",
		RunE: func(cmd *cobra.Command, _ []string) error {
			return desk.Judge(cmd.Context(), a.in, a.out, desk.DefaultLimits(), func(ctx context.Context, c desk.Candidate) error {
				if _, err := loadBook(ctx, c); err != nil {
					return err
				}
				return testBook(ctx, c)
			})
		},
	}
}

// acceptRules makes rules ready that may soon be in force: they must pass a
// trial, with all their tests, in a process of their own before they are loaded
// here.
func acceptRules(ctx context.Context, c desk.Candidate) (engine.Rulebook, error) {
	book, err := readyBook(ctx, c)
	if err != nil {
		return nil, err
	}
	return book, nil
}

func readyBook(ctx context.Context, c desk.Candidate) (*rules.Book, error) {
	exe, err := ownProgram()
	if err != nil {
		return nil, err
	}
	child := desk.Child{Exe: exe, Name: "firstrod", Args: []string{"rules", "trial"}}
	if err := desk.Trial(ctx, child, c, desk.DefaultLimits()); err != nil {
		return nil, err
	}
	book, err := loadBook(ctx, c)
	if err != nil {
		return nil, err
	}
	own, err := inside()
	if err != nil {
		return nil, err
	}
	return book, wary(ctx, layersIn(c, own), book)
}

// ownProgram is this very program, also after another was put in its place.
func ownProgram() (string, error) {
	if runtime.GOOS == "linux" {
		return "/proc/self/exe", nil
	}
	exe, err := os.Executable()
	if err != nil {
		return "", &engine.Error{Kind: engine.Internal, Say: "this program does not find itself, and so cannot try rules", Err: err}
	}
	return exe, nil
}
