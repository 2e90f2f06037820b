package bot_test

import (
	"context"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"firstrod/bot"
	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// benchBot is the real bot on real rules and a real store; wrap may put something
// around the rules.
func benchBot(b *testing.B, wrap func(engine.Evaluator) engine.Evaluator) *bot.Bot {
	b.Helper()
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		b.Fatal(err)
	}
	set, err := rules.Load(context.Background(), base, rules.Options{Layer: "base"})
	if err != nil {
		b.Fatal(err)
	}
	store, err := boltstore.Open(b.TempDir(), boltstore.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { store.Close() })
	clock := func() time.Time { return time.Date(2026, 11, 24, 15, 0, 0, 0, time.UTC) }
	e, err := engine.New(context.Background(), engine.Config{Rules: engine.Everywhere(wrap(set)), Store: store, Registry: store, Clock: clock})
	if err != nil {
		b.Fatal(err)
	}
	t, err := bot.New(bot.Config{Engine: e, Zone: "America/Phoenix"})
	if err != nil {
		b.Fatal(err)
	}
	return t
}

func plain(e engine.Evaluator) engine.Evaluator { return e }

type typist struct {
	bot  *bot.Bot
	room string
	n    int
}

func (y *typist) say(tb testing.TB, text string) bot.Reply {
	y.n++
	r, err := y.bot.Turn(context.Background(), bot.Message{Room: y.room, Text: text, Key: fmt.Sprint(y.room, "/", y.n), From: "bench"})
	if err != nil {
		tb.Fatal(err)
	}
	return r
}

// ready brings a room to a question that is asked again after each answer: a
// distance that does not hold.
func ready(tb testing.TB, t *bot.Bot, room string) *typist {
	y := &typist{bot: t, room: room}
	lines := whole()[:17]
	lines[0], lines[1] = "Dana "+strings.Map(letter, room)+", locating hand", "new "+room+", Otter Run"
	var r bot.Reply
	for _, l := range lines {
		if offered(r) {
			y.say(tb, "no")
		}
		r = y.say(tb, l)
	}
	if r = y.say(tb, "26 ft, 41 ft"); !strings.Contains(r.String(), "BLOCKED") {
		tb.Fatalf("not at the question:\n%s", r.String())
	}
	return y
}

// offered says whether values of an earlier bore are on offer.
func offered(r bot.Reply) bool { return r.Ask != nil && strings.Contains(r.Ask.Text, "The same here") }

// letter spells a room's number so that a name has no digits.
func letter(c rune) rune {
	if c >= '0' && c <= '9' {
		return 'a' + c - '0'
	}
	return c
}

// BenchmarkTurn is one whole turn, from the words to the durable record to the
// reply; BenchmarkRawPut below is the yardstick.
func BenchmarkTurn(b *testing.B) {
	t := benchBot(b, plain)
	y := ready(b, t, "OR-1")
	b.ResetTimer()
	for b.Loop() {
		y.say(b, "26 ft")
	}
}

// BenchmarkRawPut is one synced put of as many bytes as a turn's record has.
func BenchmarkRawPut(b *testing.B) {
	db, err := bolt.Open(filepath.Join(b.TempDir(), "raw.db"), 0o600, nil)
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	record := make([]byte, 520)
	n := 0
	for b.Loop() {
		n++
		err := db.Update(func(tx *bolt.Tx) error {
			bucket, err := tx.CreateBucketIfNotExists([]byte("r"))
			if err != nil {
				return err
			}
			return bucket.Put(fmt.Appendf(nil, "%016d", n), record)
		})
		if err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkCrews64 is 64 crews that answer at once; it reports answers a second.
func BenchmarkCrews64(b *testing.B) {
	t := benchBot(b, plain)
	var crews []*typist
	for i := range 64 {
		crews = append(crews, ready(b, t, fmt.Sprintf("OR-%d", i)))
	}
	var left atomic.Int64
	b.ResetTimer()
	left.Store(int64(b.N))
	done := make(chan struct{})
	for _, y := range crews {
		go func() {
			defer func() { done <- struct{}{} }()
			for left.Add(-1) >= 0 {
				y.say(b, "26 ft")
			}
		}()
	}
	for range crews {
		<-done
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "answers/s")
}
