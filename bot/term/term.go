// Package term is the dialogue in a terminal: lines in, lines out. Call [Run].
//
// It moves no cursor and clears nothing, so that it works in a pipe, in tmux and
// over a poor ssh line, and so that what scrolls by is a record. Words carry the
// meaning; on a terminal that wants it, what must not be missed is also bold.
package term

import (
	"bufio"
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"firstrod/bot"
)

// Talker is the dialogue.
type Talker interface {
	Start(ctx context.Context, room string) (bot.Reply, error)
	Turn(ctx context.Context, m bot.Message) (bot.Reply, error)
}

// Options say how to show things.
type Options struct {
	Room string
	Echo bool // show what came in, for input that is not typed here
	Bold bool // the terminal takes bold, and nobody asked for plain text
	// Save keeps a picture and gives a line to show for it; nil: only the small
	// drawing in text is shown.
	Save func(bot.Picture) (string, error)
}

const width = 78

// longest is how much of one line is kept: enough for the dialogue to see that
// it is too long.
const longest = 8 << 10

// Run talks until the input ends, somebody leaves, or nothing can go on. It
// returns the last reply, from which a caller can tell how the bore stands.
func Run(ctx context.Context, in io.Reader, out io.Writer, t Talker, o Options) (bot.Reply, error) {
	reply, err := t.Start(ctx, o.Room)
	if err != nil {
		return reply, err
	}
	show(out, reply, o)
	lines := lineReader{bufio.NewReader(in)}
	for ctx.Err() == nil {
		fmt.Fprint(out, "> ")
		line, err := lines.next()
		if err != nil {
			fmt.Fprintln(out)
			if errors.Is(err, io.EOF) {
				return reply, nil
			}
			return reply, err
		}
		if o.Echo {
			fmt.Fprintln(out, printable(line))
		}
		next, err := t.Turn(ctx, bot.Message{Room: o.Room, Text: line, Key: key(), From: "terminal"})
		if err != nil {
			return reply, err
		}
		reply = next
		show(out, reply, o)
		if reply.Done {
			return reply, nil
		}
	}
	return reply, ctx.Err()
}

// key is the idempotency key of a line: a terminal never delivers one twice.
func key() string {
	raw := make([]byte, 16)
	rand.Read(raw)
	return "terminal:" + hex.EncodeToString(raw)
}

type lineReader struct{ r *bufio.Reader }

// next gives one line without its end. Of a line without end only the start is
// kept, so that no input can fill the memory.
func (l lineReader) next() (string, error) {
	var line []byte
	for {
		part, err := l.r.ReadSlice('\n')
		if room := longest - len(line); room > 0 {
			line = append(line, part[:min(room, len(part))]...)
		}
		switch {
		case err == nil:
			return strings.TrimRight(string(line), "\r\n"), nil
		case errors.Is(err, bufio.ErrBufferFull):
		case errors.Is(err, io.EOF) && len(line) > 0:
			return string(line), nil
		default:
			return "", err
		}
	}
}

// printable shows input without letting it play tricks on the terminal.
func printable(s string) string {
	if len(s) > 200 {
		s = s[:200] + "..."
	}
	return strings.Map(func(c rune) rune {
		if c == utf8.RuneError || c < ' ' || c >= 0x7f && c < 0xa0 {
			return '?'
		}
		return c
	}, s)
}

func show(out io.Writer, r bot.Reply, o Options) {
	for _, p := range r.Parts {
		text := p.Text
		if p.Weight != bot.Exact {
			text = wrap(text)
		}
		if o.Bold && (p.Weight == bot.Loud || p.Weight == bot.Bad || p.Weight == bot.Release) {
			text = "\x1b[1m" + text + "\x1b[0m"
		}
		fmt.Fprintln(out, text)
	}
	showPictures(out, r.Pictures, o)
	if r.Ask == nil {
		return
	}
	fmt.Fprintln(out)
	if r.Ask.Where != "" {
		fmt.Fprintf(out, "%*s\n", width, r.Ask.Where)
	}
	fmt.Fprintln(out, wrap(r.Ask.Text))
	if len(r.Ask.Options) > 0 {
		fmt.Fprintln(out, wrap("("+strings.Join(r.Ask.Options, " / ")+")"))
	}
}

// showPictures draws what can be drawn in text, and says where the rest is. A
// picture that cannot be kept is said to be missing; the talk goes on.
func showPictures(out io.Writer, pictures []bot.Picture, o Options) {
	for _, p := range pictures {
		if p.Text != "" {
			fmt.Fprintln(out, p.Text)
		}
		if o.Save == nil {
			continue
		}
		line, err := o.Save(p)
		if err != nil {
			line = err.Error()
		}
		fmt.Fprintln(out, wrap(line))
	}
}

// wrap breaks long lines between words and keeps their indent.
func wrap(text string) string {
	var all []string
	for _, line := range strings.Split(text, "\n") {
		all = append(all, wrapLine(line)...)
	}
	return strings.Join(all, "\n")
}

func wrapLine(line string) []string {
	if utf8.RuneCountInString(line) <= width {
		return []string{line}
	}
	body := strings.TrimLeft(line, " ")
	indent := line[:len(line)-len(body)]
	var all []string
	for current := indent; body != ""; {
		word, rest, _ := strings.Cut(body, " ")
		full := utf8.RuneCountInString(current)+1+utf8.RuneCountInString(word) > width
		switch {
		case strings.TrimSpace(current) == "":
			current += word
		case full:
			all = append(all, current)
			current = indent + word
		default:
			current += " " + word
		}
		body = rest
		if body == "" {
			all = append(all, current)
		}
	}
	return all
}
