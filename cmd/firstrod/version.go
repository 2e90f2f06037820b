package main

import (
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// versionJSON says what this program is made of.
type versionJSON struct {
	Version string `json:"version"`
	Go      string `json:"go"`
	Rules   string `json:"rules"`  // revision of the rules it would use
	Engine  string `json:"engine"` // rule engine
	Checks  int    `json:"checks"`
}

func (a *app) version() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "version",
		Short: "Say which program and which rules this is",
		RunE: func(cmd *cobra.Command, _ []string) error {
			p, err := packsNamed(a.config.Policies)
			if err != nil {
				return err
			}
			book, err := p.book(cmd.Context())
			if err != nil {
				return err
			}
			c := book.Set("", 0).Catalogue()
			v := versionJSON{"devel", runtime.Version(), c.Revision, c.Engine, len(c.Checks)}
			if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
				v.Version = info.Main.Version
			}
			if a.json {
				return a.printJSON(v)
			}
			a.printf("firstrod %s, %s\nrules %.16s, %d checks, %s\n", v.Version, v.Go, v.Rules, v.Checks, v.Engine)
			return nil
		},
	}
	return a.jsonFlag(cmd)
}
