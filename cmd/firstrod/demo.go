package main

import (
	"bytes"
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"text/template"
	"time"

	chatterm "firstrod/bot/term"
	"firstrod/engine"
)

// demoScript is what an invented crew types, a line each. Lines that start with
// # are remarks for whoever reads along.
//
//go:embed demo.txt
var demoScript string

// demoZone is a zone without summer time, so that the demo reads the same all
// year round.
const demoZone = "America/Phoenix"

// runDemo types an invented crew's answers into the real bot, in a folder of
// its own, and ends with the board and the check of the ledger.
func (a *app) runDemo(ctx context.Context, fast, folderGiven bool) error {
	if err := a.demoFolder(folderGiven); err != nil {
		return err
	}
	a.config.Zone = demoZone
	if a.config.Contact.Name == "" {
		a.config.Contact.Name, a.config.Contact.Phone = "Marta Quill, safety manager,", "555-0142"
	}
	s, b, err := a.openBot(ctx, nil)
	if err != nil {
		return err
	}
	lines, err := demoLines(s.engine.Now())
	if err != nil {
		return errors.Join(err, s.store.Close())
	}
	a.printf("An invented crew on an invented site. Nobody types but the script.\n\n")
	out := &pacer{w: a.out, fast: fast}
	_, err = chatterm.Run(ctx, &script{ctx: ctx, lines: lines, out: out}, out, b, chatterm.Options{Room: "demo", Echo: true, Bold: a.bold(), Save: a.savePicture(b)})
	if err = errors.Join(err, s.store.Close()); err != nil {
		return err
	}
	return a.demoEnd(ctx)
}

// demoFolder picks an empty folder: a demo must never write into real records.
func (a *app) demoFolder(given bool) error {
	if !given {
		dir, err := os.MkdirTemp("", "firstrod-demo-")
		a.config.Data = dir
		return err
	}
	entries, err := os.ReadDir(a.config.Data)
	if err == nil && len(entries) > 0 {
		return &engine.Error{Kind: engine.Usage, Say: "the demo wants an empty folder, and " + a.config.Data + " is not",
			Hint: "leave --data out, and it takes a new one"}
	}
	return nil
}

func demoLines(now time.Time) ([]string, error) {
	zone, err := time.LoadLocation(demoZone)
	if err != nil {
		return nil, err
	}
	t, err := template.New("demo").Parse(demoScript)
	if err != nil {
		return nil, err
	}
	var text bytes.Buffer
	at := now.In(zone)
	err = t.Execute(&text, map[string]string{
		"LastDay":  at.AddDate(0, 0, 9).Format(time.DateOnly),
		"FirstDay": at.AddDate(0, 0, -1).Format(time.DateOnly),
		"ShiftEnd": at.Add(9 * time.Hour).Format("3:04 pm"),
	})
	if err != nil {
		return nil, err
	}
	return strings.Split(strings.TrimSpace(text.String()), "\n"), nil
}

// demoEnd shows what stands at the end, and where to look next.
func (a *app) demoEnd(ctx context.Context) error {
	a.printf("\n--- The board, as an auditor sees it: firstrod board OR-4\n\n")
	err := a.with(ctx, func(s *site) error {
		b, err := a.newBot(s, nil)
		if err != nil {
			return err
		}
		text, _, err := b.Board(ctx, "OR-4")
		a.printf("%s\n", text)
		return err
	})
	if err != nil {
		return err
	}
	a.printf("\n--- The ledger, checked from the first record to the last: firstrod verify\n\n")
	if err := a.runVerify(verifyFlags{}); err != nil {
		return err
	}
	a.printf("\n--- Where to look next\n\n"+
		"  firstrod history OR-4 --data %[1]s   everything that was said\n"+
		"  firstrod board OR-4 --data %[1]s     how the bore stands\n"+
		"  firstrod record OR-4 --data %[1]s --out OR-4.pdf   the record to file\n"+
		"  firstrod chat --data %[1]s           go on from here, by hand\n"+
		"  policies/base                        the rules, one file each\n", a.config.Data)
	return nil
}

// pacer counts what is shown, so that the script can wait until it is read.
type pacer struct {
	w    io.Writer
	fast bool
	n    int
}

func (p *pacer) Write(b []byte) (int, error) {
	p.n += len(b)
	return p.w.Write(b)
}

// rest is how long a person reads what was shown since the last rest.
func (p *pacer) rest() time.Duration {
	d := min(time.Duration(p.n)*18*time.Millisecond, 7*time.Second)
	p.n = 0
	if p.fast {
		return 0
	}
	return d
}

// script is input that types itself.
type script struct {
	ctx   context.Context
	lines []string
	out   *pacer
	left  []byte
}

func (s *script) Read(p []byte) (int, error) {
	for len(s.left) == 0 {
		if len(s.lines) == 0 {
			return 0, io.EOF
		}
		line := s.lines[0]
		s.lines = s.lines[1:]
		if remark, ok := strings.CutPrefix(line, "#"); ok {
			fmt.Fprintf(s.out, "\n[%s]\n> ", strings.TrimSpace(remark))
			continue
		}
		if strings.TrimSpace(line) == "" {
			continue
		}
		select {
		case <-s.ctx.Done():
			return 0, s.ctx.Err()
		case <-time.After(s.out.rest()):
		}
		s.left = []byte(line + "\n")
	}
	n := copy(p, s.left)
	s.left = s.left[n:]
	return n, nil
}
