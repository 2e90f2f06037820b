package witness

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/mod/sumdb/note"
)

// TestPublishedNotes: the examples of the C2SP documents and of an independent
// implementation are read as they say.
func TestPublishedNotes(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "outside", "c2sp_notes.json"))
	if err != nil {
		t.Fatal(err)
	}
	var v struct {
		Note struct{ VKey, Text, Note string } `json:"signed_note"`
		Cos  struct {
			Note, Name string
			Time       int64
		} `json:"cosignature"`
		Add struct {
			Old, Size int64
			Hashes    int
			Origin    string
			Body      string
		} `json:"add_checkpoint"`
	}
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	key, err := note.NewVerifier(v.Note.VKey)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := note.Open([]byte(v.Note.Note), note.VerifierList(key)); err != nil || n.Text != v.Note.Text || n.Text == "" {
		t.Errorf("signed note: %v", err)
	}
	if text, ok := textOf([]byte(v.Note.Note)); !ok || text != v.Note.Text {
		t.Errorf("text %q", text)
	}

	_, err = note.Open([]byte(v.Cos.Note), note.VerifierList())
	unknown, ok := err.(*note.UnverifiedNoteError)
	if !ok || len(unknown.Note.UnverifiedSigs) != 2 {
		t.Fatalf("cosigned checkpoint: %v", err)
	}
	s := unknown.Note.UnverifiedSigs[1]
	if s.Name != v.Cos.Name || timeOf(s).Unix() != v.Cos.Time || v.Cos.Time == 0 {
		t.Errorf("%s cosigned at %s", s.Name, timeOf(s))
	}

	r, err := readRequest([]byte(v.Add.Body))
	if err != nil || r.old != v.Add.Old || r.head.Size != v.Add.Size || r.head.Origin != v.Add.Origin || len(r.proof) != v.Add.Hashes {
		t.Errorf("request: %+v, %v", r, err)
	}
	if !bytes.Equal(r.encode(), []byte(v.Add.Body)) {
		t.Errorf("the request came back as %s", r.encode())
	}
}
