package main

import (
	"os"
	"path/filepath"

	"firstrod/bot"
	"firstrod/engine"
)

// savePicture keeps pictures in the data folder, a new one over an older one of
// the same name: they can be drawn again from the ledger at any time.
func (a *app) savePicture(b *bot.Bot) func(bot.Picture) (string, error) {
	return func(p bot.Picture) (string, error) {
		dir := filepath.Join(a.config.Data, "pictures")
		path := filepath.Join(dir, p.Name+".png")
		err := os.MkdirAll(dir, 0o700)
		if err == nil {
			err = os.WriteFile(path, p.PNG, 0o600)
		}
		if err != nil {
			return "", &engine.Error{Kind: engine.Storage, Say: "the picture cannot be kept", Err: err}
		}
		return b.Words(a.config.Lang, "picture.saved", map[string]any{"Path": path}), nil
	}
}
