package slackbot

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/slack-go/slack"
	"pgregory.net/rapid"

	"firstrod/bot"
	"firstrod/bot/slackbot/slackfake/blockcheck"
)

var update = flag.Bool("update", false, "write the golden files anew")

func plainService(t testing.TB) *Service {
	t.Helper()
	b, err := bot.New(bot.Config{Zone: "America/Phoenix", Lang: "en"})
	if err != nil {
		t.Fatal(err)
	}
	return &Service{bot: b}
}

// replies are one of each kind that the dialogue gives.
func replies() map[string]bot.Reply {
	ask := &bot.Ask{ID: "0123456789abcdef", Where: "OR-4  Right to dig, 3 of 4", Text: "Is every line painted or flagged?", Options: []string{"yes", "no"}}
	return map[string]bot.Reply{
		"question": {Parts: []bot.Part{{Weight: bot.Say, Text: "7; 7. Holds."}}, Ask: ask},
		"typed":    {Ask: &bot.Ask{ID: "1", Where: "OR-4  Ground, 2 of 8", Text: "How far is the nearest metal?"}},
		"blocked": {
			Parts: []bot.Part{{Weight: bot.Say, Text: "26 ft (7.92 m)."}, {Weight: bot.Bad, Text: "BLOCKED: metal at 26 ft, at least 30 ft (9.144 m) needed.\nMetal moves the reading.\nMove the trucks."}},
			Ask:   &bot.Ask{ID: "2", Where: "OR-4  Ground, 2 of 8", Text: "How far is the nearest metal?"},
		},
		"hold": {Parts: []bot.Part{{Weight: bot.Loud, Text: "HELD: OR-4. Stop drilling. smell of gas\nThe crew says what was done about it."}, {Weight: bot.Say, Text: "2 values must be given again."}}, Ask: ask},
		"release": {
			Parts: []bot.Part{
				{Weight: bot.Release, Text: "READY TO DRILL  OR-4, Otter Run, until 19:30\nSigned: Dana Reyes, locating hand; Luis Ortega, drill operator."},
				{Weight: bot.Caution, Text: "The one-call law comes before this message."},
				{Weight: bot.Exact, Text: "Checkpoint. Copied elsewhere, it shows later whether anything was changed:\nfirstrod.local/5f2c9a1e77aa03b4\n43\ngl3Nb3Scgebrl7MSqoCt7wqXEJQu2cPSNn1pHmPHulQ=\n\n— firstrod.local/5f2c9a1e77aa03b4 AAAA+/==\n"},
			},
			Ask: &bot.Ask{ID: "3", Text: "Drill."},
		},
		"marks":  {Parts: []bot.Part{{Weight: bot.Say, Text: "*not bold* <!channel> <@U1> & `x` _y_ ~z~"}}, Ask: ask},
		"choice": {Ask: &bot.Ask{ID: "4", Text: "Which view?", Options: []string{"calibration view", "walking view", "other view"}}},
	}
}

// Each message as a person reads it, beside the JSON that is sent.
func TestMessagesAreAsTheyWere(t *testing.T) {
	s := plainService(t)
	var sent [][]byte
	for name, r := range replies() {
		r.Lang = "en"
		var raw, text bytes.Buffer
		for _, m := range s.render(&r) {
			blocks := encode(m.Blocks)
			sent = append(sent, blocks)
			if err := json.Indent(&raw, blocks, "", "  "); err != nil {
				t.Fatal(err)
			}
			raw.WriteString("\n")
			text.WriteString(escaped(m.Text) + "\n")
			if m.Release || m.Loud {
				text.WriteString(map[bool]string{true: "(also in the channel)", false: "(and a message of its own in the channel)"}[m.Release] + "\n")
			}
			text.WriteString("----\n")
		}
		golden(t, name+".json", raw.Bytes())
		golden(t, name+".txt", text.Bytes())
	}
	blockcheck.Validate(t, blockcheck.Message, sent)
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", "messages", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("%s differs (%v); -update writes it anew:\n%s", name, err, got)
	}
}

// Whatever the dialogue says, what is sent keeps to the limits, loses no word,
// and shows every text to those who hear it read out.
func TestAnyReplyKeepsToTheLimits(t *testing.T) {
	s := plainService(t)
	text := rapid.Custom(func(t *rapid.T) string {
		word := rapid.StringMatching(`[a-zé<&*]{1,40}`)
		words := rapid.SliceOfN(word, 1, 20).Draw(t, "words")
		return strings.Repeat(strings.Join(words, rapid.SampledFrom([]string{" ", "\n"}).Draw(t, "gap"))+"\n", rapid.IntRange(1, 60).Draw(t, "times"))
	})
	weights := []bot.Weight{bot.Say, bot.Good, bot.Bad, bot.Loud, bot.Release, bot.Sheet, bot.Caution, bot.Exact}
	rapid.Check(t, func(t *rapid.T) {
		r := bot.Reply{Lang: "es"}
		said := ""
		for range rapid.IntRange(0, 8).Draw(t, "parts") {
			p := bot.Part{Weight: rapid.SampledFrom(weights).Draw(t, "weight"), Text: text.Draw(t, "text")}
			r.Parts = append(r.Parts, p)
			said += p.Text
		}
		if rapid.Bool().Draw(t, "asked") {
			r.Ask = &bot.Ask{ID: "0123456789abcdef", Where: "OR-4", Text: text.Draw(t, "question"), Options: rapid.SliceOfN(rapid.StringMatching(`[a-z ]{1,120}`), 0, 30).Draw(t, "options")}
			said += r.Ask.Text
		}
		shown := ""
		for _, m := range s.render(&r) {
			within(t, m)
			shown += m.Text
		}
		if squeeze(said) != "" && count(squeeze(shown)) < count(squeeze(said)) {
			t.Fatalf("said %d letters, shown %d", count(squeeze(said)), count(squeeze(shown)))
		}
	})
}

func squeeze(s string) string { return strings.Join(strings.Fields(s), "") }
func count(s string) int      { return utf8.RuneCountInString(s) }

// within checks one message against the documented limits.
func within(t *rapid.T, m message) {
	t.Helper()
	if len(m.Blocks) == 0 || len(m.Blocks) > maxBlocks || m.Text == "" || count(m.Text) > maxText+2*maxSection {
		t.Fatalf("%d blocks, %d characters", len(m.Blocks), count(m.Text))
	}
	total := 0
	size := func(o *slack.TextBlockObject, most int) {
		if n := count(o.Text); n == 0 || n > most {
			t.Fatalf("a text of %d characters where %d fit", n, most)
		}
		total += count(o.Text)
	}
	for _, b := range m.Blocks {
		switch b := b.(type) {
		case *slack.SectionBlock:
			size(b.Text, maxSection)
		case *slack.HeaderBlock:
			size(b.Text, maxHeader)
		case *slack.RichTextBlock:
			if n := count(m.Text); n > maxSection {
				t.Fatalf("%d characters to be copied", n)
			}
			total += count(m.Text)
		case *slack.ContextBlock:
			if len(b.ContextElements.Elements) > maxContext {
				t.Fatal("too many elements")
			}
			size(b.ContextElements.Elements[0].(*slack.TextBlockObject), maxSection)
		case *slack.ActionBlock:
			if len(b.Elements.ElementSet) > maxButtons {
				t.Fatal("too many buttons")
			}
			for _, e := range b.Elements.ElementSet {
				button := e.(*slack.ButtonBlockElement)
				size(button.Text, maxLabel)
				if button.AccessibilityLabel == "" || count(button.AccessibilityLabel) > maxLabel || count(button.Value) > maxValue {
					t.Fatalf("%+v", button)
				}
			}
		default:
			t.Fatalf("a block of kind %T", b)
		}
	}
	if total > 13_200 {
		t.Fatalf("%d characters in all blocks", total)
	}
}

// Thirteen thousand characters of one board, which the chat would refuse.
func TestALongBoardIsSplit(t *testing.T) {
	s := plainService(t)
	board := strings.Repeat("  a rule that does not hold, with its numbers, and what to do\n", 220)
	all := s.render(&bot.Reply{Parts: []bot.Part{{Weight: bot.Sheet, Text: board}}, Ask: &bot.Ask{ID: "1", Text: "Next?"}})
	if len(board) < 13_300 || len(all) < 2 {
		t.Errorf("%d characters in %d messages", len(board), len(all))
	}
	if all[len(all)-1].Ask == nil {
		t.Error("the question is not last")
	}
}

func TestSplit(t *testing.T) {
	for in, want := range map[string][]string{
		"": nil, " \n": nil, "abc": {"abc"}, "ab cd ef": {"ab", " cd", " ef"}, "abcdefgh": {"abcde", "fgh"}, "ab\ncd\nefg": {"ab", "cd", "efg"},
	} {
		got := split(in, 5)
		if strings.Join(got, "|") != strings.Join(want, "|") {
			t.Errorf("%q is %q, want %q", in, got, want)
		}
	}
}
