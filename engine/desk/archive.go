package desk

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"firstrod/engine"
)

// maxArchive is how large an archive within the bounds can get: a file costs at
// most 150 bytes and twice its path beside its bytes.
const maxArchive = MaxPack + (MaxFiles+2)*(2*maxPath+150)

// pack writes files as a ZIP without compression and without times.
func pack(files []file) ([]byte, error) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.path, Method: zip.Store})
		if err != nil {
			return nil, err
		}
		if _, err := w.Write(f.data); err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// openPack opens what pack wrote in this process.
func openPack(blob []byte) (fs.FS, error) {
	return zip.NewReader(bytes.NewReader(blob), int64(len(blob)))
}

// unpack reads an archive of unknown origin: the files of the packs, and those
// in beside, by name, which stand at its root.
func unpack(blob []byte, beside ...string) (packs []file, others map[string][]byte, err error) {
	if len(blob) > maxArchive {
		return nil, nil, refuse("the archive is larger than %d MiB", maxArchive>>20)
	}
	z, err := zip.NewReader(bytes.NewReader(blob), int64(len(blob)))
	if err != nil {
		return nil, nil, &engine.Error{Kind: engine.Rules, Say: "this is not an archive of rules, or a part of it is missing", Err: err}
	}
	if n := len(z.File); n > MaxFiles+len(beside) {
		return nil, nil, refuse("the archive has %d files, more than %d", n, MaxFiles)
	}
	others = map[string][]byte{}
	for _, name := range beside {
		others[name] = nil
	}
	s := &shelf{}
	for _, f := range z.File {
		data, err := entry(f)
		if err != nil {
			return nil, nil, err
		}
		if have, ok := others[f.Name]; ok {
			if have != nil {
				return nil, nil, named(f.Name, "there are two files of this name")
			}
			others[f.Name] = append([]byte{}, data...)
			continue
		}
		say := misplaced(f.Name)
		if say == "" {
			say = s.add(f.Name, data)
		}
		if say != "" {
			return nil, nil, named(f.Name, say)
		}
	}
	return s.sorted(), others, nil
}

// entry is the bytes of one file of an archive. Sizes are looked at before the
// bytes, and the bytes do not depend on what the sizes say.
func entry(f *zip.File) ([]byte, error) {
	switch {
	case f.Mode()&fs.ModeSymlink != 0:
		return nil, named(f.Name, "this is a link to another place; rules are plain files only")
	case !f.Mode().IsRegular() || strings.HasSuffix(f.Name, "/"):
		return nil, named(f.Name, "this is not a plain file")
	case f.Method != zip.Store:
		return nil, named(f.Name, "this file is compressed; an archive of rules is not")
	case f.UncompressedSize64 > MaxFile || f.CompressedSize64 > MaxFile:
		return nil, named(f.Name, fmt.Sprintf("this file is larger than %d MiB", MaxFile>>20))
	case f.UncompressedSize64 != f.CompressedSize64:
		return nil, named(f.Name, "this file has two sizes")
	}
	r, err := f.Open()
	if err != nil {
		return nil, &engine.Error{Kind: engine.Rules, Say: shown(f.Name) + ": this file cannot be read from the archive", Err: err}
	}
	defer r.Close()
	data, err := io.ReadAll(io.LimitReader(r, MaxFile+1))
	if err != nil {
		return nil, &engine.Error{Kind: engine.Rules, Say: shown(f.Name) + ": this file is damaged", Err: err}
	}
	return data, nil
}

// named is a refusal of one file of an archive.
func named(path, say string) error { return refused([]Fault{{File: shown(path), Say: say}}) }

// shown is a path of unknown origin so that a terminal shows it as it is.
func shown(path string) string {
	if len(path) > maxPath {
		path = path[:maxPath]
	}
	if plain.MatchString(path) {
		return path
	}
	return fmt.Sprintf("%q", path)
}
