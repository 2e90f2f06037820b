package slackbot

import (
	"context"
	"strconv"
)

// Overtaken tells the crews whose release other rules took away, each in the thread
// of its bore and once. Call it after the start, and when rules came into force. It
// waits until Run has begun, and returns once what it has to say is durable.
func (s *Service) Overtaken(ctx context.Context) error {
	if err := s.begun(ctx); err != nil {
		return err
	}
	taken, err := s.bot.Taken(ctx)
	if err != nil {
		return err
	}
	var all []arrival
	for bore, record := range taken {
		t, known := s.places.thread(bore)
		at, posted := s.places.where(t.Parent)
		if known && posted {
			all = append(all, arrival{keep: true, letter: letter{
				Key: key("o", bore, strconv.FormatInt(record, 10)), Kind: overtaken,
				Team: t.Team, Channel: at.Channel, Thread: at.TS, TS: stamp(s.cfg.Clock.Now()),
			}})
		}
	}
	s.taking.Lock()
	defer s.taking.Unlock()
	fresh, err := s.store(ctx, all)
	for _, l := range fresh {
		s.queues.add(s.life, s.queueOf(l), l)
	}
	return err
}

// wasOvertaken is the turn that nobody asked for.
func (s *Service) wasOvertaken(ctx context.Context, l letter, p place) error {
	if err := s.enter(ctx, p); err != nil {
		return err
	}
	s.turns <- struct{}{}
	reply, err := s.bot.Overtaken(ctx, p.room())
	<-s.turns
	if err != nil {
		return err
	}
	if len(reply.Parts) == 0 {
		return s.settle(ctx, l, nil, nil)
	}
	p.Waits = nil
	return s.answer(ctx, l, p, who{}, "", &reply)
}
