package rules

import (
	"archive/zip"
	"bytes"
	"io/fs"

	"firstrod/engine"
)

// archive packs the exact bytes of all files into one blob: a ZIP without
// compression and without times, so that the same files give the same blob.
func archive(files []file) ([]byte, error) {
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

// Open reads what Catalogue.Packs holds, so that [Load] can judge again as it
// did then. Whether these are the files of some revision shows when they are
// loaded: Catalogue.Revision is a hash of them.
func Open(packs []byte) (fs.FS, error) {
	z, err := zip.NewReader(bytes.NewReader(packs), int64(len(packs)))
	if err != nil {
		return nil, &engine.Error{Kind: engine.Rules, Say: "the stored rules cannot be read", Err: err}
	}
	return z, nil
}
