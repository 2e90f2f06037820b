package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"firstrod/engine"
	"firstrod/engine/exif"
)

// outFolder is a folder that files of evidence are written to. Nothing is written
// outside of it, whatever links lie in it.
type outFolder struct {
	path string
	root *os.Root
	done map[string]bool
}

func openOut(path string) (*outFolder, error) {
	if err := os.MkdirAll(path, 0o700); err != nil {
		return nil, &engine.Error{Kind: engine.Storage, Say: "the folder " + path + " cannot be made", Err: err}
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Storage, Say: "the folder " + path + " cannot be opened", Err: err}
	}
	return &outFolder{path, root, map[string]bool{}}, nil
}

func (o *outFolder) close() { o.root.Close() }

// write puts a file there, with or without its place, over nothing that is there.
func (o *outFolder) write(e *evidenceJSON, place bool) error {
	data, mark := e.data, ""
	if e.Place && !place {
		data, mark = exif.WithoutPlace(data), "-without-place"
	}
	name := fmt.Sprintf("%d-%.12s%s%s", e.Record, e.Sum, mark, fileEnding(e.Type))
	e.File = filepath.Join(o.path, name)
	if o.done[name] {
		return nil // one record may name a file twice
	}
	o.done[name] = true
	f, err := o.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	switch {
	case errors.Is(err, fs.ErrExist):
		return &engine.Error{Kind: engine.Conflict, Say: e.File + " is there already", Hint: "name another folder"}
	case err != nil:
		return &engine.Error{Kind: engine.Storage, Say: e.File + " cannot be written", Err: err}
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Close()); err != nil {
		return &engine.Error{Kind: engine.Storage, Say: e.File + " cannot be written", Err: err}
	}
	return nil
}

// fileEnding is how a file of a type is called here. A record that names another type
// than are ever kept gets none that anything would open.
func fileEnding(kind string) string {
	switch kind {
	case "image/jpeg":
		return ".jpg"
	case "image/png":
		return ".png"
	case "image/webp":
		return ".webp"
	case "image/gif":
		return ".gif"
	case "application/pdf":
		return ".pdf"
	}
	return ".bin"
}
