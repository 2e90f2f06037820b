package audit

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"firstrod/engine/ledger"
)

// Cursor is where a page of an answer ended.
type Cursor struct {
	Newest bool   // the answer has the latest record first
	After  int64  // number of the page's last record
	Mark   string // 8 hex digits of the filter, so that a page is not continued with another one
}

// ErrCursor is wrapped by every error of ParseCursor.
var ErrCursor = errors.New("this is no place to go on from")

// NewCursor is the place behind a record in the answer to a filter.
func NewCursor(f ledger.Filter, newest bool, after int64) Cursor {
	return Cursor{Newest: newest, After: after, Mark: mark(f)}
}

func mark(f ledger.Filter) string {
	f.Since, f.Until = f.Since.UTC(), f.Until.UTC()
	// A struct of texts, times, numbers and truths cannot fail to encode.
	raw, _ := json.Marshal(f)
	h := sha256.Sum256(raw)
	return hex.EncodeToString(h[:4])
}

// String is the cursor as people copy it: "n1041-3fa9c2d1".
func (c Cursor) String() string {
	order := "o"
	if c.Newest {
		order = "n"
	}
	return order + strconv.FormatInt(c.After, 10) + "-" + c.Mark
}

// ParseCursor reads a cursor; String of the result is the same text again.
func ParseCursor(text string) (Cursor, error) {
	number, mark, ok := strings.Cut(text, "-")
	if !ok || number == "" {
		return Cursor{}, fmt.Errorf("%w: %q", ErrCursor, text)
	}
	n, err := strconv.ParseInt(number[1:], 10, 64)
	c := Cursor{Newest: number[0] == 'n', After: n, Mark: mark}
	raw, herr := hex.DecodeString(mark)
	if err != nil || herr != nil || len(raw) != 4 || n < 0 || c.String() != text {
		return Cursor{}, fmt.Errorf("%w: %q", ErrCursor, text)
	}
	return c, nil
}

// Fits says whether the cursor is of an answer to this filter in this order.
func (c Cursor) Fits(f ledger.Filter, newest bool) bool {
	return c == NewCursor(f, newest, c.After)
}
