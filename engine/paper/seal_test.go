package paper_test

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"firstrod/engine/ledger"
	"firstrod/engine/paper"
)

// The square code is read back from the page as printed, by a decoder that shares no
// code with the encoder, at the resolution of a plain scan in grey.
func TestSquareCodeReadsBackFromThePage(t *testing.T) {
	w := begun(t)
	w.release(bore)
	d := w.document("en")
	for _, page := range paper.Pages() {
		d.Paper = page
		raw := pdf(t, d)
		stem := filepath.Join(t.TempDir(), "page")
		_, pages, _ := strings.Cut(poppler(t, raw, "pdfinfo", "FILE"), "Pages:")
		poppler(t, raw, "pdftoppm", "-r", "150", "-f", strings.Fields(pages)[0], "-gray", "-png", "FILE", stem)
		files, err := filepath.Glob(stem + "*.png")
		if err != nil || len(files) != 1 {
			t.Fatalf("%d pages, want the last one: %v", len(files), err)
		}
		if got := scanned(t, files[0]); got != d.Seal().String() {
			t.Errorf("%s: read %q, want %q", page, got, d.Seal().String())
		}
	}
}

func scanned(t *testing.T, file string) string {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	grey := image.NewGray(img.Bounds())
	draw.Draw(grey, grey.Bounds(), img, image.Point{}, draw.Src)
	bits, err := gozxing.NewBinaryBitmapFromImage(grey)
	if err != nil {
		t.Fatal(err)
	}
	got, err := qrcode.NewQRCodeReader().Decode(bits, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
	if err != nil {
		t.Fatalf("the square code cannot be read: %v", err)
	}
	if level := got.GetResultMetadata()[gozxing.ResultMetadataType_ERROR_CORRECTION_LEVEL]; fmt.Sprint(level) != "M" {
		t.Errorf("error level %v, want M", level)
	}
	return got.GetText()
}

func TestThePageIsHeldAgainstTheLedger(t *testing.T) {
	w := begun(t)
	w.release(bore)
	seal := w.document("en").Seal()
	now, _ := w.store.Checkpoint()
	each := func(fn func(ledger.Record) error) error { return w.store.Records(t.Context(), 0, fn) }
	if err := seal.Check(now.Origin, each); err != nil {
		t.Fatal(err)
	}
	w.open("OR-5") // the ledger goes on
	w.must(w.engine.Hold(t.Context(), bore, w.crew.Said(w.hand), "lunch"))
	if err := seal.Check(now.Origin, each); err != nil {
		t.Errorf("a page must still hold when the ledger has grown: %v", err)
	}
	changed := func(change func(r *ledger.Record)) func(func(ledger.Record) error) error {
		return func(fn func(ledger.Record) error) error {
			return each(func(r ledger.Record) error { change(&r); return fn(r) })
		}
	}
	for name, c := range map[string]struct {
		origin string
		each   func(func(ledger.Record) error) error
		say    string
	}{
		"another ledger":    {"firstrod.local/0000000000000000", each, "the page is of the ledger"},
		"cut off":           {now.Origin, func(fn func(ledger.Record) error) error { return nil }, "this one has 0"},
		"an answer changed": {now.Origin, changed(func(r *ledger.Record) { r.Typed = strings.Replace(r.Typed, "34 ft", "31 ft", 1); r.From += "x" }), "are not those of the page"},
		"a person's record changed": {now.Origin, changed(func(r *ledger.Record) {
			if r.Kind == ledger.KindPerson {
				r.From = "elsewhere"
			}
		}), "its root differs"},
		"the bore renamed": {now.Origin, changed(func(r *ledger.Record) {
			if r.Bore == bore {
				r.Bore = "OR-6"
			}
		}), "which is not there"},
	} {
		if err := seal.Check(c.origin, c.each); err == nil || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%s: %v, want %q", name, err, c.say)
		}
	}
}

// The sum in the seal can be had without this program: the records as stored, a
// newline behind each, through SHA-256.
func TestSealIsReadBack(t *testing.T) {
	good := paper.Seal{Origin: "firstrod.local/5f2c9a1e77aa03b4", Size: 55, Root: "gl3Nb3Scgebrl7MSqoCt7wqXEJQu2cPSNn1pHmPHulQ=", Bore: "OR-4", Version: 50, Last: 54, Sum: strings.Repeat("a1", 32)}
	for _, text := range []string{good.String(), strings.ReplaceAll(good.String(), "\n", "\r\n"), "  " + strings.ReplaceAll(good.String(), "\n", " \n\n  ")} {
		if got, err := paper.ParseSeal(text); err != nil || got != good {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	for name, text := range map[string]string{
		"empty": "", "first line only": "firstrod record 1\n", "another version": strings.Replace(good.String(), "record 1", "record 2", 1),
		"lines swapped": strings.Replace(good.String(), "size 55\nroot", "root 55\nsize", 1), "one more": good.String() + "x y\n",
		"no number": strings.Replace(good.String(), "size 55", "size many", 1), "last beyond size": strings.Replace(good.String(), "last 54", "last 55", 1),
		"no bore": strings.Replace(good.String(), "bore OR-4", "bore ", 1),
	} {
		if got, err := paper.ParseSeal(text); err == nil {
			t.Errorf("%s: read as %v", name, got)
		}
	}
}

func FuzzParseSeal(f *testing.F) {
	f.Add("firstrod record 1\norigin a\nsize 2\nroot r\nbore OR-4\nversion 1\nlast 1\nsum ab\n")
	f.Add("firstrod record 1\r\norigin\nsize 9223372036854775808\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := paper.ParseSeal(text)
		if err != nil {
			return
		}
		if again, err := paper.ParseSeal(s.String()); err != nil || again != s {
			t.Errorf("%+v came back as %+v: %v", s, again, err)
		}
	})
}
