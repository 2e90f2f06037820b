package main

import (
	"context"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"firstrod/engine/rules"
)

// rulesSchemas writes the schemas with which the stock rule engine finds a name
// that is not there and a text where a number belongs.
func (a *app) rulesSchemas() *cobra.Command {
	out := ""
	cmd := &cobra.Command{
		Use:   "schemas [DIR]",
		Short: "Write the schemas of what rules read, for the stock rule engine",
		Long: `schemas writes input.json, what a rule may read as input, and params.json, what it
may read as data.params, over the base and every local pack. The stock rule engine
then refuses a misspelled name: opa check --strict -s OUT DIR/base DIR/local/CODE`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			layers, err := a.layersOf(args)
			if err != nil {
				return err
			}
			return writeSchemas(cmd.Context(), layers, out)
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder to write into, such as policies/schemas")
	cobra.CheckErr(cmd.MarkFlagRequired("out"))
	return cmd
}

func writeSchemas(ctx context.Context, layers rules.Layers, out string) error {
	input, params, err := rules.Schemas(ctx, layers)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return unwritten(out, err)
	}
	for name, text := range map[string][]byte{"input.json": input, "params.json": params} {
		if err := os.WriteFile(filepath.Join(out, name), text, 0o644); err != nil {
			return unwritten(filepath.Join(out, name), err)
		}
	}
	return nil
}
