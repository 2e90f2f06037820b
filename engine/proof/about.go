package proof

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"firstrod/engine/ledger"
)

// format is what this package writes and reads.
const format = "firstrod proof 1"

// about says what a file is about. Everything else is in the records.
type about struct {
	Format string `json:"format"`
	Bore   string `json:"bore"`
}

func (a about) encode() []byte {
	b, err := json.Marshal(a)
	if err != nil {
		panic("proof: two strings cannot fail to encode: " + err.Error())
	}
	return append(b, '\n')
}

func readAbout(b []byte) (about, error) {
	var a about
	if err := json.Unmarshal(b, &a); err != nil {
		return about{}, err
	}
	switch {
	case !bytes.Equal(a.encode(), b):
		return about{}, errors.New("it is not in its one form")
	case a.Format != format:
		return about{}, fmt.Errorf("it is of the format %.40q, this program reads %q", a.Format, format)
	case a.Bore == "":
		return about{}, errors.New("it names no bore")
	}
	return a, nil
}

// evidenceList is the list of files shown, in the order they came.
func evidenceList(files []ledger.File) []byte {
	var b strings.Builder
	seen := map[string]bool{}
	for _, f := range files {
		if line := fmt.Sprintf("%s %d %s %s", f.Sum, f.Size, f.Type, f.Name); !seen[line] {
			seen[line] = true
			b.WriteString(strings.ReplaceAll(line, "\n", " ") + "\n")
		}
	}
	return []byte(b.String())
}
