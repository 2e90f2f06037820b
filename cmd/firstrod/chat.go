package main

import (
	"context"
	"errors"
	"io"
	"os"
	"sync"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"firstrod/bot"
	chatterm "firstrod/bot/term"
	"firstrod/engine"
)

func (a *app) chat() *cobra.Command {
	var demo, fast bool
	cmd := &cobra.Command{
		Use:   "chat",
		Short: "Talk with the bot, in this terminal",
		Long: `chat asks for each value in turn, in the order of the work, says what does not
hold and what to do about it, and releases the bore when every rule holds and
two people have signed. Everything said is recorded before it is answered.

Input may come through a pipe, one answer a line. Then the exit status is 0 only
if the bore talked about last is ready to drill or closed when the talk is over,
by the end of the input or by quit, and 3 if it is not. Typed by hand it is 0.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if fast && !demo {
				return usage(errors.New("--fast goes with --demo"))
			}
			if demo {
				return a.runDemo(cmd.Context(), fast, cmd.Flags().Changed("data"))
			}
			return a.runChat(cmd.Context())
		},
	}
	cmd.Flags().BoolVar(&demo, "demo", false, "show the whole job with an invented crew, in a folder of its own")
	cmd.Flags().BoolVar(&fast, "fast", false, "with --demo: do not wait for anybody to read along")
	return cmd
}

func (a *app) runChat(ctx context.Context) error {
	s, b, err := a.openBot(ctx, nil)
	if err != nil {
		return err
	}
	following, stop := context.WithCancel(ctx)
	var beside sync.WaitGroup
	beside.Go(func() { a.followRules(following, s) })
	typed := isTerminal(a.in)
	last, err := chatterm.Run(ctx, interruptible(ctx, a.in), a.out, b, chatterm.Options{Room: "terminal", Echo: !typed, Bold: a.bold(), Save: a.savePicture(b)})
	stop()
	beside.Wait()
	if err == nil && !typed {
		err = stands(ctx, s.engine, last.Bore)
	}
	return errors.Join(err, s.store.Close())
}

// stands gives errStop unless the bore that was talked about last is ready to drill
// or closed, now that the talk is over: by a quit or the end of the input, and a
// release may have run out while nobody said anything.
func stands(ctx context.Context, e *engine.Engine, bore string) error {
	if bore == "" {
		return errStop
	}
	board, err := e.Board(ctx, bore)
	if err == nil && board.Verdict != engine.Ready && board.Verdict != engine.Finished {
		return errStop
	}
	return err
}

// recorder makes the function that makes records of bores for a conversation; nil
// where none are handed out.
type recorder func(*site) func(ctx context.Context, bore, lang string) (bot.Paper, error)

// openBot opens the data folder for a conversation.
func (a *app) openBot(ctx context.Context, files recorder) (*site, *bot.Bot, error) {
	s, err := a.open(ctx, manner{ask: true})
	if err != nil {
		return nil, nil, err
	}
	b, err := a.newBot(s, files)
	if err != nil {
		return nil, nil, errors.Join(err, s.store.Close())
	}
	return s, b, nil
}

func (a *app) newBot(s *site, files recorder) (*bot.Bot, error) {
	var record func(ctx context.Context, bore, lang string) (bot.Paper, error)
	if files != nil {
		record = files(s)
	}
	return bot.New(bot.Config{
		Record: record, Look: s.look,
		Engine: s.engine, Zone: a.config.Zone, Jurisdiction: a.config.Jurisdiction, Lang: a.config.Lang,
		Contact: bot.Contact{Name: a.config.Contact.Name, Phone: a.config.Contact.Phone},
	})
}

func isTerminal(r any) bool {
	f, ok := r.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// bold says whether the terminal may be sent bold: https://no-color.org.
func (a *app) bold() bool {
	return isTerminal(a.out) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
}

// interruptible is input that ends with ctx: a person who presses Ctrl-C at a
// question must not have to press Enter as well.
func interruptible(ctx context.Context, in io.Reader) io.Reader {
	r, w := io.Pipe()
	go func() {
		_, err := io.Copy(w, in)
		w.CloseWithError(err)
	}()
	context.AfterFunc(ctx, func() { w.CloseWithError(ctx.Err()) })
	return r
}
