package slackbot

import (
	"context"
	"encoding/json"
	"fmt"
	"time"
)

const (
	inKey     = "in/"   // + key: a letter that is not worked off
	seenKey   = "seen/" // + key: it came before; kept for ever, as repetitions may come hours later
	ackWithin = 2 * time.Second
)

// arrival is a payload on its way through take.
type arrival struct {
	raw    Raw
	letter letter
	keep   bool
	answer any
}

// take is the way in: understand, drop what is about no bore, store what is
// new, acknowledge, and only then work it off. What cannot be stored is not
// acknowledged, so that it comes again.
func (s *Service) take(ctx context.Context, raws []Raw) {
	s.taking.Lock()
	defer s.taking.Unlock()
	var all []arrival
	for _, raw := range raws {
		a := arrival{raw: raw}
		if l, ok := read(raw); ok {
			if l.TS == "" {
				l.TS = stamp(s.cfg.Clock.Now())
			}
			a.letter, a.keep = s.wanted(l)
		}
		if a.keep && a.letter.Kind == submitted {
			a.answer, a.keep = s.checkNew(ctx, a.letter)
		}
		all = append(all, a)
	}
	fresh, err := s.store(ctx, all)
	if err != nil {
		if ctx.Err() == nil {
			s.health.trouble("what came in cannot be stored", err)
			s.fail(err)
		}
		return
	}
	s.acknowledge(ctx, all)
	for _, l := range fresh {
		if l.Kind == shortcut {
			s.showForm(s.life, l)
			continue
		}
		s.queues.add(s.life, s.queueOf(l), l) // longer than the request that brought it
	}
}

// stamp is a time in the form of the chat's timestamps.
func stamp(t time.Time) string { return fmt.Sprintf("%d.%06d", t.Unix(), t.Nanosecond()/1000) }

// store keeps the letters that are new, in one change.
func (s *Service) store(ctx context.Context, all []arrival) ([]letter, error) {
	puts := map[string][]byte{}
	var fresh []letter
	for _, a := range all {
		if !a.keep {
			continue
		}
		k := a.letter.Key
		_, twin := puts[seenKey+k]
		_, seen, err := s.cfg.Table.Get(ctx, seenKey+k)
		if err != nil {
			return nil, err
		}
		if seen || twin {
			continue
		}
		puts[seenKey+k] = []byte{}
		fresh = append(fresh, a.letter)
		if a.letter.Kind == shortcut {
			continue // good for three seconds; nothing of it is worth keeping
		}
		value, err := json.Marshal(a.letter)
		if err != nil {
			return nil, err
		}
		puts[inKey+k] = value
	}
	return fresh, s.cfg.Table.Apply(ctx, puts, nil)
}

// acknowledge answers every payload within two seconds altogether. One that
// cannot be acknowledged comes again, and is then known.
func (s *Service) acknowledge(ctx context.Context, all []arrival) {
	ctx, done := context.WithTimeout(ctx, ackWithin)
	defer done()
	for _, a := range all {
		if err := a.raw.Ack(ctx, a.answer); err != nil {
			s.log.Warn("an acknowledgement was not sent", "kind", a.raw.Kind, "error", err)
		}
	}
}

// wanted says whether a letter is about a bore at all. What is not is dropped
// here, before anything of it is stored or logged.
func (s *Service) wanted(l letter) (letter, bool) {
	own := l.User == s.self.User || l.User == s.self.Bot
	if own && (l.Kind == said || l.Kind == mentioned || l.Kind == edited) {
		return l, false
	}
	l.Text = without(l.Text, s.self.User)
	thread := l.Thread != "" && s.places.bore(l.Channel, l.Thread) != ""
	switch l.Kind {
	case said:
		if thread || l.direct() {
			return l, true
		}
		l.Kind = strayed
		return l, l.Thread == "" && !l.Program && len(s.places.in(l.Channel)) > 0 && s.bot.Understood(l.Text)
	case edited:
		return l, thread && !l.Program
	case pressed:
		// Outside of threads only a whole message has a button.
		verb, _ := s.bot.Meant(l.Text)
		return l, thread || l.direct() || verb == "new"
	case mentioned:
		return l, thread || !l.Program
	}
	return l, true
}

// queueOf is the conversation that a letter belongs to.
func (s *Service) queueOf(l letter) string {
	switch {
	case l.Kind == opened:
		return "home/" + l.User
	case l.direct() && (l.Kind == said || l.Kind == pressed):
		return l.Channel
	case l.Thread != "":
		if bore := s.places.bore(l.Channel, l.Thread); bore != "" {
			return threadKey + bore
		}
	}
	return "lobby" // one at a time: two people may open the same bore
}

// takeUp works off what the last run left, in the order of the chat.
func (s *Service) takeUp(ctx context.Context) error {
	return s.cfg.Table.Each(ctx, inKey, func(_ string, value []byte) error {
		var l letter
		if err := json.Unmarshal(value, &l); err != nil {
			return err
		}
		s.queues.add(ctx, s.queueOf(l), l)
		return nil
	})
}
