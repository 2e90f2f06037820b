package paper

import (
	"bytes"
	"encoding/json"
)

// JSON writes a document down, see the package comment.
func JSON(d Document) ([]byte, error) {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(d); err != nil {
		return nil, fail("the record cannot be written down", err)
	}
	return out.Bytes(), nil
}

// Parse reads a document from its JSON. Fields it does not know are passed over: a
// later version may have added them.
func Parse(raw []byte) (Document, error) {
	var d Document
	if err := json.Unmarshal(raw, &d); err != nil {
		return Document{}, fail("this is not a record in JSON", err)
	}
	if d.Schema != Schema {
		return Document{}, fail("this record was written by another version of the program", nil)
	}
	return d, nil
}
