package slackbot

import (
	"bytes"
	"context"
	"errors"

	"github.com/slack-go/slack"

	"firstrod/engine/exif"
)

// upload is a file on its way: pictures, drawings, records, all take this way.
type upload struct {
	Name string `json:"name"`
	Sum  string `json:"sum,omitempty"`  // on the shelf; "" when its bytes wait with the item
	Alt  string `json:"alt"`            // what it shows, for those who cannot see it
	Sent string `json:"sent,omitempty"` // the chat's id of it, once its bytes are there
	data []byte // until they are stored
}

// upload sends the bytes first, which shows nothing to anybody, keeps the id
// that the chat gave them, and shares them last. So a share without an answer can
// be looked up.
func (o *outbox) upload(ctx context.Context, it *item, thread posted) error {
	if it.File.Sent == "" {
		if err := o.sendBytes(ctx, it); err != nil {
			return errNothingShown{err}
		}
		if err := o.save(it); err != nil {
			return errNothingShown{err}
		}
	}
	_, err := o.api.CompleteUploadExternalContext(ctx, slack.CompleteUploadExternalParameters{
		Files:   []slack.FileSummary{{ID: it.File.Sent, Title: it.File.Name}},
		Channel: it.Channel, ThreadTimestamp: thread.TS, InitialComment: it.Text,
	})
	return err
}

// errNothingShown is an error before anything could be seen: the call may be
// made again whatever it was.
type errNothingShown struct{ error }

// Unwrap gives the cause.
func (e errNothingShown) Unwrap() error { return e.error }

func (o *outbox) sendBytes(ctx context.Context, it *item) error {
	data, err := o.bytes(ctx, it)
	if err != nil {
		return err
	}
	u, err := o.api.GetUploadURLExternalContext(ctx, slack.GetUploadURLExternalParameters{
		FileName: it.File.Name, FileSize: len(data), AltTxt: cut(it.File.Alt, maxAlt),
	})
	if err != nil {
		return err
	}
	err = o.api.UploadToURL(ctx, slack.UploadToURLParameters{UploadURL: u.UploadURL, Reader: bytes.NewReader(data), Filename: it.File.Name})
	if err == nil {
		it.File.Sent = u.FileID
	}
	return err
}

func (o *outbox) bytes(ctx context.Context, it *item) ([]byte, error) {
	if it.File.Sum != "" {
		// The crew's own picture comes back, without the place: many read here.
		data, err := o.cfg.Shelf.Kept(ctx, it.File.Sum)
		return exif.WithoutPlace(data), err
	}
	data, found, err := o.cfg.Table.Get(ctx, bytesKey+it.ID)
	if err == nil && !found {
		err = errors.New("the bytes of " + it.File.Name + " are gone")
	}
	return data, err
}
