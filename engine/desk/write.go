package desk

import (
	"errors"
	"io"
	"os"
	"path/filepath"
)

// Replace writes a file all at once: whoever reads it, also after a crash, has
// the old bytes or the new ones.
func Replace(name string, data []byte) error {
	temp, err := written(name, data)
	if err != nil {
		return unwritten(name, err)
	}
	if err := os.Rename(temp, name); err != nil {
		return unwritten(name, errors.Join(err, os.Remove(temp)))
	}
	return syncFolder(filepath.Dir(name))
}

// create does the same for a file that must not be there yet.
func create(name string, data []byte) error {
	temp, err := written(name, data)
	if err != nil {
		return unwritten(name, err)
	}
	err = os.Link(temp, name)
	if err = errors.Join(err, os.Remove(temp)); err != nil {
		return unwritten(name, err)
	}
	return syncFolder(filepath.Dir(name))
}

// written makes a hidden file beside name with all bytes on the disk.
func written(name string, data []byte) (temp string, err error) {
	f, err := os.CreateTemp(filepath.Dir(name), ".new-*")
	if err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(f.Name()))
		}
	}()
	_, err = f.Write(data)
	err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close())
	return f.Name(), err
}

// syncFolder makes the names in a folder last.
func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return unwritten(dir, err)
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return unwritten(dir, err)
	}
	return nil
}

// readFile reads a file up to one byte beyond what an archive may have.
func readFile(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxArchive+1))
}
