package paper_test

import (
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"firstrod/engine/ledger"
	"firstrod/engine/paper"
)

// hostile is what somebody may type, or be called, and what must be seen of it on
// paper; the HTML shows the same or the letters themselves.
var hostile = map[string]struct{ typed, seen string }{
	"direction":  {"Dana \u202eseyeR\u202c\u2066", "Dana [U+202E]seyeR[U+202C][U+2066]"},
	"control":    {"a\x1b[31mb\x00c\x07", "a[U+001B][31mb[U+0000]c[U+0007]"},
	"emoji":      {"pit 😀 ready", "pit [U+1F600] ready"},
	"markup":     {`<script>alert("x")</script><img src=x onerror=y>&amp;`, `<script>alert("x")</script><img src=x onerror=y>&amp;`},
	"long word":  {strings.Repeat("Abcdefghij", 40), strings.Repeat("Abcdefghij", 40)},
	"long text":  {strings.Repeat("many words ", 40), strings.Repeat("many words ", 40)},
	"stacked":    {"Z" + strings.Repeat("\u0335", 60), "Z"},
	"hebrew":     {"שלום", "[U+05E9][U+05DC][U+05D5][U+05DD]"},
	"no letters": {"漢字", "[U+6F22][U+5B57]"},
	"template":   {"{{.Bore}} {bore} %d %s (Tj) \\) <<", "{{.Bore}} {bore} %d %s (Tj) \\) <<"},
	"not UTF-8":  {"a\xff\xfeb", "a[U+FFFD]b"},
	"lines":      {"one\ntwo\r\nthree\u2028four", "one two three[U+2028]four"},
	"spanish":    {"Ñandú, ¿pingüino? —sí—", "Ñandú, ¿pingüino? —sí—"},
}

// typedFields are those of a document that may hold what somebody typed.
var typedFields = []string{"Title", "Place", "Why", "Typed", "Shown", "Label", "Name", "Reading", "Stop", "Rule", "Fails", "Again", "Event"}

// spoil puts a text wherever somebody's words may stand.
func spoil(v reflect.Value, text string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			spoil(v.Elem(), text)
		}
	case reflect.Slice:
		for i := range v.Len() {
			spoil(v.Index(i), text)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f, field := v.Field(i), v.Type().Field(i)
			switch {
			case !field.IsExported():
			case f.Kind() == reflect.String && slices.Contains(typedFields, field.Name) && f.Type() != reflect.TypeFor[paper.Page]():
				f.SetString(text)
			case f.Type() == reflect.TypeFor[[]string]() && slices.Contains(typedFields, field.Name):
				for i := range f.Len() {
					f.Index(i).SetString(text)
				}
			default:
				spoil(f, text)
			}
		}
	}
}

func spoiled(t *testing.T, d paper.Document, text string) paper.Document {
	t.Helper()
	raw, err := paper.JSON(d)
	if err != nil {
		t.Fatal(err)
	}
	copied, err := paper.Parse(raw)
	if err != nil {
		t.Fatal(err)
	}
	spoil(reflect.ValueOf(&copied).Elem(), text)
	return copied
}

func full(t *testing.T) paper.Document {
	w := begun(t)
	w.release(bore)
	w.must(w.engine.Show(t.Context(), bore, w.crew.Said(w.hand), ledger.File{Sum: strings.Repeat("ab", 32), Size: 12, Type: "image/png", Name: "pit.png"}))
	w.must(w.engine.Hold(t.Context(), bore, w.crew.Said(w.driver), "smell of gas"))
	return w.document("en")
}

func TestHostileWordsStayOnThePage(t *testing.T) {
	d := full(t)
	for name, h := range hostile {
		t.Run(name, func(t *testing.T) {
			bad := spoiled(t, d, h.typed)
			raw := pdf(t, bad)
			wants(t, "PDF", text(t, raw), h.seen)
			onThePage(t, raw)
			page := html(t, bad)
			if i := strings.IndexFunc(page, func(r rune) bool {
				return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) && r != '\n' && r != '\t'
			}); i >= 0 {
				t.Errorf("HTML holds a character that cannot be seen: %q", page[max(0, i-20):i+4])
			}
			for _, no := range []string{"<script", "<img", "javascript:", "onerror=y>", "http-equiv"} {
				if strings.Contains(page, no) {
					t.Errorf("HTML holds %q", no)
				}
			}
		})
	}
}

var (
	pageBox = regexp.MustCompile(`<page width="([\d.]+)" height="([\d.]+)"`)
	wordBox = regexp.MustCompile(`<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*)</word>`)
)

// onThePage asks poppler where every word stands, in points: inside the margins of
// 16 mm, and none on top of the foot.
func onThePage(t *testing.T, raw []byte) {
	t.Helper()
	wide, high, words, pages := 0.0, 0.0, 0, 0
	number := func(s string) float64 {
		n, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	const margin, slack = 16 * 72 / 25.4, 1.5
	for _, line := range strings.Split(poppler(t, raw, "pdftotext", "-bbox", "FILE", "-"), "\n") {
		if m := pageBox.FindStringSubmatch(line); m != nil {
			wide, high = number(m[1]), number(m[2])
			pages++
		}
		m := wordBox.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		words++
		if number(m[1]) < margin-slack || number(m[3]) > wide-margin+slack || number(m[2]) < 0 || number(m[4]) > high {
			t.Fatalf("page %d: %.60q stands at %s to %s of %v across, %s to %s of %v down", pages, m[5], m[1], m[3], wide, m[2], m[4], high)
		}
	}
	if words < 500 || pages < 5 {
		t.Errorf("only %d words on %d pages were looked at", words, pages)
	}
}

// A row that is taller than a page goes on over the next ones, under the same head.
func TestOneAnswerLongerThanAPage(t *testing.T) {
	d := full(t)
	before := strings.Count(text(t, pdf(t, d)), "many")
	d.Values[3].Typed = strings.Repeat("many words ", 372) // 4092 bytes, as long as a message may be
	d.Timeline[5].Why = d.Values[3].Typed
	raw := pdf(t, d)
	if n := strings.Count(text(t, raw), "many") - before; n != 2*372 {
		t.Errorf("%d of %d words are there", n, 2*372)
	}
	onThePage(t, raw)
}

func TestOrdinaryWordsStayOnThePage(t *testing.T) {
	d := full(t)
	for _, page := range paper.Pages() {
		d.Paper = page
		onThePage(t, pdf(t, d))
	}
}
