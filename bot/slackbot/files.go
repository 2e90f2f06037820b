package slackbot

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"firstrod/bot"
	"firstrod/engine"
	"firstrod/engine/ledger"
)

const (
	maxFiles = 10       // of one message
	maxFile  = 20 << 20 // bytes of one file, as the shelf has it
)

var errTooLarge = errors.New("too large")

// capped is a buffer that refuses to grow beyond a file.
type capped struct{ bytes.Buffer }

func (c *capped) Write(p []byte) (int, error) {
	if c.Len()+len(p) > maxFile {
		return 0, errTooLarge
	}
	return c.Buffer.Write(p)
}

// lostFile is a file that could not be kept.
type lostFile struct{ name, why string }

// fetch puts the files of a message on the shelf. Whether a file is the picture
// that it says is for the shelf to see from its bytes.
func (s *Service) fetch(ctx context.Context, l letter) (kept []ledger.File, lost []lostFile) {
	for i, f := range l.Files {
		if i == maxFiles {
			lost = append(lost, lostFile{f.Name, fmt.Sprintf("%d at a time", maxFiles)})
			break
		}
		file, err := s.fetchOne(ctx, f)
		switch {
		case err == nil:
			kept = append(kept, file)
		case engine.KindOf(err) == engine.Usage:
			lost = append(lost, lostFile{f.Name, err.Error()})
		default:
			s.health.trouble("a file could not be fetched", err)
			lost = append(lost, lostFile{f.Name, code(err)})
		}
	}
	return kept, lost
}

func (s *Service) fetchOne(ctx context.Context, f fileRef) (ledger.File, error) {
	ctx, stop := context.WithTimeout(ctx, s.cfg.Patience)
	defer stop()
	if f.Size > maxFile {
		return ledger.File{}, &engine.Error{Kind: engine.Usage, Say: errTooLarge.Error()}
	}
	data, err := again(ctx, func() (*capped, error) {
		var data capped
		return &data, s.api.GetFileContext(ctx, f.URL, &data)
	})
	if err != nil {
		return ledger.File{}, err
	}
	return s.cfg.Shelf.Keep(ctx, f.Name, data)
}

// uploads are the pictures of a reply, each with words for those who cannot see
// it. A drawing says in words what it shows where the app may send no files.
func (s *Service) uploads(p place, reply *bot.Reply) []*item {
	var items []*item
	for _, f := range reply.Files {
		alt := s.bot.Words(reply.Lang, "chat.photo", map[string]any{"Name": f.Name, "Bore": reply.Bore, "Sum": f.Sum[:12]})
		items = append(items, s.uploadItem(p, &upload{Name: fileName(f), Sum: f.Sum, Alt: alt}, ""))
	}
	for _, d := range reply.Pictures {
		items = append(items, s.uploadItem(p, &upload{Name: d.Name + ".png", Alt: d.Alt, data: d.PNG}, escaped(d.Alt)))
	}
	return items
}

// paper is the record of a bore that was released, for its thread.
func (s *Service) paper(p place, reply *bot.Reply) []*item {
	f := reply.Paper
	if f == nil {
		return nil
	}
	return []*item{s.uploadItem(p, &upload{Name: f.Name + ".pdf", Alt: f.Alt, data: f.PDF}, escaped(f.Instead))}
}

func (s *Service) uploadItem(p place, u *upload, instead string) *item {
	return &item{
		ID: s.out.id(), Op: opUpload, Channel: p.Channel, Thread: p.Parent, Text: escaped(cut(u.Alt, maxSection)), File: u, Instead: instead,
	}
}

func fileName(f ledger.File) string {
	if f.Name != "" {
		return f.Name
	}
	return f.Sum[:12]
}
