package main

import (
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync/atomic"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"firstrod/engine/desk"
)

// web is a server that a script tells how to behave.
type web struct {
	*httptest.Server
	gives atomic.Pointer[string] // a folder, or a word
}

type webKey struct{}

func startWeb() *web {
	w := &web{}
	dead := "dead"
	w.gives.Store(&dead)
	w.Server = httptest.NewServer(w)
	return w
}

func (w *web) ServeHTTP(to http.ResponseWriter, r *http.Request) {
	switch gives := *w.gives.Load(); gives {
	case "hangs":
		<-r.Context().Done()
	case "dead":
		if c, _, err := http.NewResponseController(to).Hijack(); err == nil {
			c.Close()
		}
	default:
		http.FileServer(http.Dir(gives)).ServeHTTP(to, r)
	}
}

func setWeb(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 1 {
		ts.Fatalf("usage: web DIR|dead|hangs")
	}
	gives := args[0]
	if gives != "dead" && gives != "hangs" {
		gives = ts.MkAbs(gives)
	}
	ts.Value(webKey{}).(*web).gives.Store(&gives)
}

func promise(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 4 {
		ts.Fatalf("usage: promise DIR KEY FILE DAY")
	}
	c, err := desk.Read(ts.MkAbs(args[0]))
	ts.Check(err)
	secret, err := os.ReadFile(ts.MkAbs(args[1]))
	ts.Check(err)
	signer, err := desk.Signer(strings.TrimSpace(string(secret)))
	ts.Check(err)
	c.RenewBy, err = time.Parse(time.DateOnly, args[3])
	ts.Check(err)
	bundle, err := desk.Seal(c, signer)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), bundle, 0o644))
}
