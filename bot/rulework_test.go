package bot_test

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"firstrod/bot"
	"firstrod/engine"
)

// stopwatch is the real rules, with the time they take added up per turn.
type stopwatch struct {
	engine.Evaluator
	took time.Duration
}

func (s *stopwatch) Evaluate(ctx context.Context, ts []engine.Target, facts func(engine.Target) engine.Facts) []engine.Finding {
	begun := time.Now()
	defer func() { s.took += time.Since(begun) }()
	return s.Evaluator.Evaluate(ctx, ts, facts)
}

// BenchmarkRuleWork is the whole conversation of a bore, up to its release. It
// reports the median of what the rules take in one turn.
func BenchmarkRuleWork(b *testing.B) {
	watch := &stopwatch{}
	t := benchBot(b, func(e engine.Evaluator) engine.Evaluator {
		watch.Evaluator = e
		return watch
	})
	var took []time.Duration
	for i := 0; b.Loop(); i++ {
		took = append(took, converse(b, t, watch, fmt.Sprintf("OR-%d", i))...)
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Nanoseconds())/1e3, "us-median/turn")
	b.ReportMetric(float64(took[len(took)*95/100].Nanoseconds())/1e3, "us-p95/turn")
}

func converse(b *testing.B, t *bot.Bot, watch *stopwatch, room string) []time.Duration {
	y := &typist{bot: t, room: room}
	lines := whole()
	lines[1] = "new " + room + ", Otter Run"
	var took []time.Duration
	var r bot.Reply
	for _, l := range lines {
		for r.Ask != nil && offered(r) {
			r = y.say(b, "no")
		}
		watch.took = 0
		r = y.say(b, l)
		took = append(took, watch.took)
	}
	if r.Verdict != engine.Ready {
		b.Fatalf("not released:\n%s", r.String())
	}
	return took
}
