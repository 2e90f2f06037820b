package slackbot

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"sync"
	"testing"
	"time"

	"firstrod/bot"
	"firstrod/bot/slackbot/slackfake"
	"firstrod/engine"
)

// The figures are measured on a machine that does nothing else:
// FIRSTROD_FIGURES=1 go test -run Figure -v ./bot/slackbot
func figures(t *testing.T) {
	t.Helper()
	if os.Getenv("FIRSTROD_FIGURES") == "" {
		t.Skip("FIRSTROD_FIGURES is not set")
	}
}

// An acknowledgement takes 50 ms at the 99th of 100, with 64 threads at work. A
// thread is as busy as it can be: a message a second, as fast as the chat lets
// the bot answer.
func TestFigureAcknowledgement(t *testing.T) {
	figures(t)
	const threads, each = 64, 12
	x := newSite(t, loadRules(t), newFake(t, func(c *slackfake.Config) { c.AckTimeout = 3 * time.Second }), nil)
	x.connected()
	at := map[string]string{}
	for i := range threads {
		bore, ch := fmt.Sprintf("OR-%d", i), fmt.Sprintf("C0%07d", i)
		x.fake.AddChannel(slackfake.Channel{ID: ch})
		x.fake.Slash(dana, ch, "new "+bore+", Otter Run")
		at[ch] = x.thread(bore)
		x.next(bore, "")
	}
	x.still()
	x.fake.Forget()
	var acts []*slackfake.Act
	var mu sync.Mutex
	var work sync.WaitGroup
	for ch, thread := range at {
		work.Go(func() {
			time.Sleep(time.Duration(rand.IntN(1000)) * time.Millisecond)
			for i := range each {
				a := x.fake.Say(dana, ch, thread, []string{"why", "OTR-2291, 2026-11-23, 2026-12-03", "status"}[i%3])
				mu.Lock()
				acts = append(acts, a)
				mu.Unlock()
				time.Sleep(time.Duration(750+rand.IntN(500)) * time.Millisecond)
			}
		})
	}
	work.Wait()
	x.still()
	var all []time.Duration
	for _, a := range acts {
		for _, d := range a.Deliveries {
			all = append(all, d.Latency())
		}
	}
	slices.Sort(all)
	p50, p99 := all[len(all)/2], all[len(all)*99/100]
	t.Logf("%d acknowledgements: median %v, p99 %v, most %v", len(all), p50, p99, all[len(all)-1])
	if p99 > 50*time.Millisecond {
		t.Errorf("p99 %v, 50 ms allowed", p99)
	}
}

func memory() (mib float64, goroutines int) {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc) / (1 << 20), runtime.NumGoroutine()
}

// Memory is flat over many reconnects.
func TestFigureReconnects(t *testing.T) {
	figures(t)
	const n = 10_000
	x := newSite(t, loadRules(t), newFake(t), func(c *Config) { c.Reopen = time.Nanosecond })
	x.connected()
	cut := func(n int) {
		for i := range n {
			before := len(x.fake.Calls("apps.connections.open"))
			for deadline := time.Now().Add(patience); len(x.fake.Calls("apps.connections.open")) == before; time.Sleep(200 * time.Microsecond) {
				x.fake.CutSockets()
				if time.Now().After(deadline) {
					t.Fatal("it does not come back")
				}
			}
			if i%500 == 499 {
				time.Sleep(100 * time.Millisecond) // a ticket that was given out is used by now
				x.fake.Forget()
			}
		}
	}
	cut(500)
	h1, g1 := memory()
	cut(n)
	h2, g2 := memory()
	t.Logf("%d reconnects: %.1f to %.1f MiB, %d to %d goroutines", n, h1, h2, g1, g2)
	if h2 > h1+4 || g2 > g1+10 {
		t.Errorf("memory grows")
	}
}

// Memory is flat over many messages, those of a bore and those of others.
func TestFigureMessages(t *testing.T) {
	figures(t)
	const n = 100_000
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, _ := x.walk(1)
	x.still()
	send := func(from, to int) {
		for i := from; i < to; i++ {
			th := thread
			if i%100 != 0 {
				th = fmt.Sprintf("16.%06d", i)
			}
			ts := stamp(time.Now())
			payload := fmt.Sprintf(`{"team_id":%q,"event_id":"Ev%d","event":{"type":"message","channel":%q,"user":%q,"text":"why","ts":"%s%d","thread_ts":%q}}`,
				x.fake.Team(), i, crewCh, dana, ts, i%10, th)
			x.svc.take(context.Background(), []Raw{{Kind: kindEvents, Payload: json.RawMessage(payload), Ack: func(context.Context, any) error { return nil }}})
			if i%1000 == 999 {
				x.still()
				x.fake.Forget()
			}
		}
	}
	send(0, n/10)
	h1, g1 := memory()
	send(n/10, n)
	h2, g2 := memory()
	t.Logf("%d messages, one in a hundred of a bore: %.1f to %.1f MiB, %d to %d goroutines", n, h1, h2, g1, g2)
	if h2 > h1+4 || g2 > g1+10 {
		t.Errorf("memory grows")
	}
}

// From an answer to its reply in the thread: at most twice the turn itself, plus
// the pace of the channel, which is what a crew waits for when it talks fast. The
// logged time is without that pace: the turn, four syncs of the mail, two calls.
func TestFigureReply(t *testing.T) {
	figures(t)
	const n = 60
	const pace = time.Second // as the chat wants it
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.walk(15)
	last = x.say(thread, last, line{dana, "26 ft, 41 ft"})
	var chat, turn []time.Duration
	for i := range n {
		start := time.Now()
		x.fake.Say(dana, crewCh, thread, "26 ft")
		_, last = x.next("OR-4", last)
		chat = append(chat, time.Since(start))
		x.still()
		start = time.Now()
		_, err := x.svc.bot.Turn(t.Context(), bot.Message{
			Room: "slack:" + x.fake.Team() + "/bore/OR-4", Text: "26 ft", Key: fmt.Sprint("direct", i), From: "test",
			Speaker: &bot.Speaker{Ref: "slack:" + x.fake.Team() + "/" + dana, Name: "Dana Reyes", Role: engine.RoleLocatingHand},
		})
		if err != nil {
			t.Fatal(err)
		}
		turn = append(turn, time.Since(start))
	}
	slices.Sort(chat)
	slices.Sort(turn)
	t.Logf("in the chat: median %v, p95 %v; the turn alone: median %v, p95 %v", chat[n/2], chat[n*95/100], turn[n/2], turn[n*95/100])
	if chat[n/2] > 2*turn[n/2]+pace {
		t.Errorf("more than twice the turn and the pace of %v", pace)
	}
}
