package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"firstrod/engine"
)

const (
	controlFile = "control.sock"
	controlWait = 30 * time.Second // for a request, and for each piece of an answer to be taken
	maxRequest  = 64
)

// control answers other runs of this program on the same machine, while serve has
// the data folder: a socket in it, which only its owner may open. A request is one
// line. The answer begins with "ok" or "no" and a sentence, on a line, and what was
// asked for follows until the end.
type control struct {
	listener net.Listener
	answers  map[string]func(ctx context.Context, w io.Writer) error
	log      *slog.Logger
	stop     context.CancelFunc
	busy     sync.Mutex // one request at a time
	running  sync.WaitGroup
}

// listenControl starts to answer in a data folder that this process has opened, so
// that a socket which is there already can only be left over.
func listenControl(dir string, log *slog.Logger, answers map[string]func(context.Context, io.Writer) error) (*control, error) {
	path := filepath.Join(dir, controlFile)
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, &engine.Error{Kind: engine.Storage, Say: "an old control socket cannot be removed", Err: err}
	}
	l, err := net.Listen("unix", path)
	if err == nil {
		err = os.Chmod(path, 0o600) // the folder is closed to others already
	}
	if err != nil {
		if l != nil {
			err = errors.Join(err, l.Close())
		}
		return nil, &engine.Error{Kind: engine.Storage, Say: "the control socket cannot be made", Err: err,
			Hint: "the path of the data folder may be too long for one: 90 letters at most"}
	}
	ctx, stop := context.WithCancel(context.Background())
	c := &control{listener: l, answers: answers, log: log, stop: stop}
	c.running.Go(func() { c.accept(ctx) })
	return c, nil
}

// Close ends what is going on and takes the socket away.
func (c *control) Close() {
	c.stop()
	if err := c.listener.Close(); err != nil {
		c.log.Error("the control socket was not closed", "err", err)
	}
	c.running.Wait()
}

func (c *control) accept(ctx context.Context) {
	for {
		conn, err := c.listener.Accept()
		if err != nil {
			if ctx.Err() == nil {
				c.log.Error("the control socket has stopped", "err", err)
			}
			return
		}
		c.running.Go(func() {
			defer conn.Close()
			ended := context.AfterFunc(ctx, func() { conn.Close() })
			defer ended()
			if err := c.answer(ctx, conn); err != nil && ctx.Err() == nil {
				c.log.Error("a request on the control socket was not answered", "err", err)
			}
		})
	}
}

func (c *control) answer(ctx context.Context, conn net.Conn) error {
	if err := conn.SetReadDeadline(time.Now().Add(controlWait)); err != nil {
		return err
	}
	line, err := bufio.NewReaderSize(io.LimitReader(conn, maxRequest), maxRequest).ReadString('\n')
	if err != nil {
		return err
	}
	fn := c.answers[strings.TrimSpace(line)]
	w := &patient{conn: conn}
	switch {
	case fn == nil:
		_, err = fmt.Fprintln(w, "no this service does not know what is asked for")
		return err
	case !c.busy.TryLock():
		_, err = fmt.Fprintln(w, "no another request is being answered; try again")
		return err
	}
	err = fn(ctx, w)
	c.busy.Unlock() // before anybody can know that it is over
	if err != nil && !w.begun {
		_, werr := fmt.Fprintln(w, "no "+strings.ReplaceAll(err.Error(), "\n", "; "))
		return errors.Join(err, werr)
	}
	return err
}

// patient waits only so long for each piece to be taken.
type patient struct {
	conn  net.Conn
	begun bool
}

func (p *patient) Write(b []byte) (int, error) {
	p.begun = true
	if err := p.conn.SetWriteDeadline(time.Now().Add(controlWait)); err != nil {
		return 0, err
	}
	return p.conn.Write(b)
}

// askControl asks the service that has the data folder. ok is false where none
// answers; whoever asks can then open the folder itself.
func askControl(dir, request string) (answer io.ReadCloser, ok bool, err error) {
	conn, err := net.DialTimeout("unix", filepath.Join(dir, controlFile), time.Second)
	if err != nil {
		return nil, false, nil
	}
	refuse := func(say string, err error) (io.ReadCloser, bool, error) {
		return nil, true, errors.Join(&engine.Error{Kind: engine.Busy, Say: say, Err: err}, conn.Close())
	}
	if err := conn.SetDeadline(time.Now().Add(time.Hour)); err != nil {
		return refuse("the service does not answer", err)
	}
	if _, err := fmt.Fprintln(conn, request); err != nil {
		return refuse("the service does not answer", err)
	}
	r := bufio.NewReader(conn)
	line, err := r.ReadString('\n')
	if err != nil {
		return refuse("the service does not answer", err)
	}
	if say, no := strings.CutPrefix(strings.TrimSpace(line), "no "); no {
		return refuse(say, nil)
	}
	return answerOf{r, conn}, true, nil
}

type answerOf struct {
	io.Reader
	io.Closer
}
