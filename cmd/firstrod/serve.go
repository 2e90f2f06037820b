package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"firstrod/bot/slackbot"
	"firstrod/engine"
	"firstrod/engine/boltstore"
)

func (a *app) serve() *cobra.Command {
	var check bool
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Take part in the crew's team chat",
		Long: `serve runs the bot in a team chat until it is told to stop. It connects from the
inside (Socket Mode), or takes signed HTTP where slack.listen is set.

The secrets come from the environment or from systemd's credentials, never from
flags or settings:
  FIRSTROD_SLACK_BOT_TOKEN        xoxb-..., from the app's installation
  FIRSTROD_SLACK_APP_TOKEN        xapp-..., for Socket Mode
  FIRSTROD_SLACK_SIGNING_SECRET   for signed HTTP

With --check it asks the chat who the app is and which scopes it was granted,
says by name what the profile lacks, and ends.

EXIT STATUS  0 fine   1 could not run, or --check found something missing
             2 wrong usage, or a secret is missing`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if check {
				return a.checkChat(cmd.Context())
			}
			return a.runServe(cmd.Context())
		},
	}
	cmd.Flags().BoolVar(&check, "check", false, "look whether the app was set up with what it needs, and end")
	return cmd
}

// runServe runs until ctx ends or the ledger stops.
func (a *app) runServe(ctx context.Context) (err error) {
	cfg, err := a.chatConfig()
	if err != nil {
		return err
	}
	s, b, err := a.openBot(ctx, recordsTo(cfg.Log))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.store.Close()) }()
	mail, err := boltstore.OpenMail(a.config.Data)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, mail.Close()) }()
	if ctl, err := listenControl(a.config.Data, cfg.Log, a.controls(s, mail)); err != nil {
		cfg.Log.Error("no backup can be made while the service runs", "err", err)
	} else {
		defer ctl.Close()
	}
	cfg.Bot, cfg.Table, cfg.Shelf = b, mail, s.store
	service, err := slackbot.New(cfg)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	var beside sync.WaitGroup
	defer func() { stop(); beside.Wait() }()
	go func() {
		select {
		case <-s.store.Failed():
			stop() // nothing can be recorded: nothing may be said
		case <-ctx.Done():
		}
	}()
	beside.Go(func() { a.postCheckpoints(ctx, s, service, cfg.Log) })
	beside.Go(func() { (&ruleTeller{ctx: ctx, service: service, log: cfg.Log}).overtaken() }) // while it was down
	beside.Go(func() {
		if err := a.watchRules(ctx, s, service, cfg.Log); err != nil {
			cfg.Log.Error("newly published rules are not seen", "err", err)
		}
	})
	a.printf("firstrod serves the team chat from %s. Stop it with Ctrl-C.\n", a.config.Data)
	err = service.Run(ctx)
	select {
	case <-s.store.Failed():
		err = errors.Join(err, &engine.Error{Kind: engine.Storage, Say: "the ledger has stopped", Hint: "see to the disk, then start firstrod again"})
	default:
	}
	return err
}

// checkChat says what the app lacks.
func (a *app) checkChat(ctx context.Context) error {
	cfg, err := a.chatConfig()
	if err != nil {
		return err
	}
	r, err := slackbot.Check(ctx, cfg, slackbot.Profile(a.config.Slack.Profile))
	if err != nil {
		return err
	}
	a.printf("Workspace %s (%s), the bot is %s.\n", r.Team, r.TeamID, r.BotUser)
	lacks := []string{}
	for _, scope := range r.Missing {
		a.printf("MISSING scope %s\n", scope)
		lacks = append(lacks, scope)
	}
	if r.Socket != nil {
		a.printf("MISSING a socket: %v. The app token needs connections:write.\n", r.Socket)
		lacks = append(lacks, "a socket")
	}
	if len(a.config.Slack.Roles)+len(a.config.Slack.Groups) == 0 {
		a.printf("NOTE nobody has a role yet: set slack.roles or slack.groups.\n")
	}
	if len(lacks) > 0 {
		return &engine.Error{
			Kind: engine.NotFound, Say: "the app lacks " + strings.Join(lacks, ", "),
			Hint: "update the app from deploy/slack-" + a.config.Slack.Profile + ".yaml and install it again",
		}
	}
	a.printf("Everything that the profile %s needs is there.\n", a.config.Slack.Profile)
	return nil
}

// chatConfig puts settings and secrets together.
func (a *app) chatConfig() (slackbot.Config, error) {
	c := a.config.Slack
	roles, err := upper("slack.roles", c.Roles)
	if err != nil {
		return slackbot.Config{}, err
	}
	groups, err := upper("slack.groups", c.Groups)
	if err != nil {
		return slackbot.Config{}, err
	}
	cfg := slackbot.Config{
		APIURL: c.APIURL, Listen: c.Listen, Safety: c.Safety, Roles: roles, Groups: groups,
		Call: strings.TrimSpace(a.config.Contact.Name + " " + a.config.Contact.Phone),
		Log:  slog.New(slog.NewTextHandler(a.err, nil)),
	}
	for name, to := range map[string]*string{
		"SLACK_BOT_TOKEN": &cfg.Tokens.Bot, "SLACK_APP_TOKEN": &cfg.Tokens.App, "SLACK_SIGNING_SECRET": &cfg.Tokens.Signing,
	} {
		if *to, err = secret(name); err != nil {
			return slackbot.Config{}, err
		}
	}
	if a.hurry {
		cfg.Pace, cfg.React = time.Millisecond, -1
	}
	return cfg, slackbot.Ready(cfg)
}

// upper gives ids the capital letters that the settings reader takes away, and
// refuses a role that there is not: a slip must not make somebody silent later.
func upper(where string, ids map[string]string) (map[string]string, error) {
	all := map[string]string{}
	for id, role := range ids {
		if !slices.Contains(engine.Roles(), role) {
			return nil, &engine.Error{
				Kind: engine.Usage, Say: fmt.Sprintf("%s names the role %q, which there is not", where, role),
				Hint: "one of " + strings.Join(engine.Roles(), ", "),
			}
		}
		all[strings.ToUpper(id)] = role
	}
	return all, nil
}

// secret reads a secret from the environment, or from a file that systemd's
// LoadCredential= put in place, named in small letters.
func secret(name string) (string, error) {
	if v := os.Getenv("FIRSTROD_" + name); v != "" {
		return strings.TrimSpace(v), nil
	}
	dir := os.Getenv("CREDENTIALS_DIRECTORY")
	if dir == "" {
		return "", nil
	}
	raw, err := os.ReadFile(filepath.Join(dir, strings.ToLower(name)))
	switch {
	case errors.Is(err, os.ErrNotExist):
		return "", nil
	case err != nil:
		return "", &engine.Error{Kind: engine.Usage, Say: "the credential " + strings.ToLower(name) + " cannot be read", Err: err}
	}
	return strings.TrimSpace(string(raw)), nil
}
