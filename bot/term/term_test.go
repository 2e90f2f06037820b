package term

import (
	"context"
	"errors"
	"io"
	"strings"
	"testing"
	"unicode/utf8"

	"firstrod/bot"
)

// parrot says back what it was told, and leaves at "quit".
type parrot struct {
	heard []string
	keys  map[string]bool
	fail  error
}

func (p *parrot) Start(context.Context, string) (bot.Reply, error) {
	return bot.Reply{Ask: &bot.Ask{Where: "Ground, 2 of 5", Text: "How far?", Options: []string{"yes", "no"}}}, p.fail
}

func (p *parrot) Turn(_ context.Context, m bot.Message) (bot.Reply, error) {
	p.heard = append(p.heard, m.Text)
	if p.keys[m.Key] || m.Key == "" {
		return bot.Reply{}, errors.New("a key came twice")
	}
	p.keys[m.Key] = true
	return bot.Reply{Parts: []bot.Part{{Weight: bot.Loud, Text: "HELD: " + m.Text}}, Done: m.Text == "quit"}, p.fail
}

func talk(t *testing.T, in string, o Options) (*parrot, string) {
	t.Helper()
	p := &parrot{keys: map[string]bool{}}
	var out strings.Builder
	if _, err := Run(t.Context(), strings.NewReader(in), &out, p, o); err != nil {
		t.Fatal(err)
	}
	return p, out.String()
}

func TestLinesInLinesOut(t *testing.T) {
	p, out := talk(t, "26 ft\r\n\nlast without end", Options{Room: "r", Echo: true})
	if strings.Join(p.heard, "|") != "26 ft||last without end" {
		t.Errorf("heard %q", p.heard)
	}
	for _, want := range []string{"Ground, 2 of 5", "How far?", "(yes / no)", "> 26 ft\n", "HELD: 26 ft\n"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not shown in:\n%s", want, out)
		}
	}
	if strings.Contains(out, "\x1b") {
		t.Error("an escape code without being asked for bold")
	}
}

func TestBoldOnlyWhenAsked(t *testing.T) {
	_, out := talk(t, "x\n", Options{Bold: true})
	if !strings.Contains(out, "\x1b[1mHELD: x\x1b[0m") {
		t.Errorf("%q", out)
	}
}

func TestQuitEndsBeforeTheInput(t *testing.T) {
	if p, _ := talk(t, "quit\nmore\n", Options{}); len(p.heard) != 1 {
		t.Errorf("heard %q", p.heard)
	}
}

func TestAHugeLineIsCutAndTheNextOneIsWhole(t *testing.T) {
	p, _ := talk(t, strings.Repeat("x", 1<<20)+"\nnext\n", Options{})
	if len(p.heard) != 2 || len(p.heard[0]) != longest || p.heard[1] != "next" {
		t.Errorf("%d lines, the first of %d bytes", len(p.heard), len(p.heard[0]))
	}
}

func TestEchoPlaysNoTricks(t *testing.T) {
	_, out := talk(t, "\x1b[2Jclear\x07\xff\n", Options{Echo: true})
	echoed := strings.SplitN(out, "> ", 2)[1]
	if first, _, _ := strings.Cut(echoed, "\n"); first != "?[2Jclear??" {
		t.Errorf("echoed %q", first)
	}
}

func TestAFailureEndsTheTalk(t *testing.T) {
	p := &parrot{keys: map[string]bool{}, fail: errors.New("the disk is full")}
	if _, err := Run(t.Context(), strings.NewReader("x\n"), io.Discard, p, Options{}); err == nil {
		t.Error("no error")
	}
}

func TestWrap(t *testing.T) {
	text := "  " + strings.Repeat("ábcdéfghij ", 30)
	for _, line := range strings.Split(wrap(text), "\n") {
		if n := utf8.RuneCountInString(line); n > width || !strings.HasPrefix(line, "  ") {
			t.Errorf("%d wide: %q", n, line)
		}
	}
	long := strings.Repeat("x", 200)
	if got := wrap(long + " y"); got != long+"\ny" {
		t.Errorf("%q", got)
	}
	if got := strings.Join(strings.Fields(wrap(text)), " "); got != strings.TrimSpace(text) {
		t.Error("words were lost")
	}
}
