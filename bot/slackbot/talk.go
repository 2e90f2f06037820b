package slackbot

import (
	"context"
	"encoding/json"
	"slices"
	"time"

	"firstrod/bot"
	"firstrod/engine"
)

// workOff works off one letter. What cannot be done now because nothing can be
// stored stays where it is, for the next start.
func (s *Service) workOff(ctx context.Context, l letter) {
	err := s.handle(ctx, l)
	if err == nil || ctx.Err() != nil {
		return
	}
	switch engine.KindOf(err) {
	case engine.Storage, engine.Damaged:
		s.fail(err)
		return
	}
	s.log.Error("a message could not be worked off", "kind", l.Kind, "error", err)
	sorry := s.hint(l, s.bot.Words("", "chat.fault", nil))
	if err := s.settle(ctx, l, []*item{sorry}, nil); err != nil && ctx.Err() == nil {
		s.fail(err)
	}
}

func (s *Service) handle(ctx context.Context, l letter) error {
	if l.Thread != "" && !l.direct() {
		if bore := s.places.bore(l.Channel, l.Thread); bore != "" {
			t, _ := s.places.thread(bore)
			switch l.Kind {
			case edited:
				return s.wasEdited(ctx, l)
			case overtaken:
				return s.wasOvertaken(ctx, l, t.clone())
			}
			return s.talk(ctx, l, t.clone())
		}
	}
	switch {
	case l.direct() && (l.Kind == said || l.Kind == pressed):
		d := s.places.direct(l.Team, l.Channel)
		return s.talk(ctx, l, d.clone())
	case l.Kind == opened:
		return s.showHome(ctx, l)
	case l.Kind == strayed:
		return s.astray(ctx, l)
	}
	return s.lobby(ctx, l)
}

// talk is one turn of the dialogue in a thread or in direct messages.
func (s *Service) talk(ctx context.Context, l letter, p place) error {
	verb, _ := s.bot.Meant(l.Text)
	// Whoever signs or waives is looked up now, not as of five minutes ago.
	fresh := p.Verdict == string(engine.Signable) || verb == "sign" || verb == "waive"
	w := s.people.who(ctx, l, fresh)
	if w.Stand != mayAnswer {
		if w.Stand == program || l.Kind == pressed || verb != "hold" && verb != "report" {
			return s.refuse(ctx, l, p, w)
		}
		w.Role = engine.RoleCrew // to stop is safe, whoever says it
	}
	if err := s.enter(ctx, p); err != nil {
		return err
	}
	m := bot.Message{
		Room: p.room(), Text: l.Text, Key: "slack:" + l.Key, From: "slack", Answers: l.Answers,
		Speaker: &bot.Speaker{Ref: w.Ref, Name: w.Name, Role: w.Role, Lang: w.Lang},
	}
	if m.Answers == "" && (p.Bore != "" || len(p.Asked) > 0) {
		m.Answers = s.places.onScreen(p, l.TS, s.cfg.React)
	}
	files, lost := s.fetch(ctx, l)
	m.Files = files
	reply, err := s.turn(ctx, m)
	if err != nil {
		return err
	}
	for _, name := range lost {
		text := s.bot.Words(reply.Lang, "chat.file_lost", map[string]any{"Name": name.name, "Why": name.why})
		reply.Parts = append([]bot.Part{{Weight: bot.Bad, Text: text}}, reply.Parts...)
	}
	p.Waits = nil
	if reply.Ask != nil && reply.Ask.Waits {
		p.Waits = &waits{Text: m.Text, Answers: m.Answers, Key: m.Key, Who: *m.Speaker}
	}
	return s.answer(ctx, l, p, w, verb, &reply)
}

// turn is a turn of the dialogue, only so many at a time: the rules take all the
// machine they can get, and what comes in must be acknowledged meanwhile.
func (s *Service) turn(ctx context.Context, m bot.Message) (bot.Reply, error) {
	s.turns <- struct{}{}
	defer func() { <-s.turns }()
	return s.bot.Turn(ctx, m)
}

// enter makes the dialogue know the room again after a start.
func (s *Service) enter(ctx context.Context, p place) error {
	if p.Bore == "" || !s.known(p.room()) {
		return nil
	}
	if err := s.bot.Resume(ctx, p.room(), p.Bore); err != nil {
		return err
	}
	if p.Lang != "" {
		s.bot.Speak(p.room(), p.Lang)
	}
	if p.Parent != "" {
		s.bot.Pin(p.room())
	}
	if p.Waits == nil {
		return nil
	}
	_, err := s.bot.Turn(ctx, bot.Message{
		Room: p.room(), Text: p.Waits.Text, Key: p.Waits.Key + "/again", From: "slack", Answers: p.Waits.Answers, Speaker: &p.Waits.Who,
	})
	return err
}

// known notes a room; first says whether it was not known before.
func (s *Service) known(room string) (first bool) {
	s.tmu.Lock()
	defer s.tmu.Unlock()
	first = !s.entered[room]
	s.entered[room] = true
	return first
}

// answer turns a reply into messages, and makes them durable together with the
// word that the letter is worked off.
func (s *Service) answer(ctx context.Context, l letter, p place, w who, verb string, reply *bot.Reply) error {
	var items []*item
	before := p.Asked
	if p.Parent == "" {
		p.Bore = reply.Bore
	} else if w.User != "" {
		p.People[w.User] = w.Role
	}
	p.Verdict = string(reply.Verdict)
	if verb == "language" {
		p.Lang = reply.Lang
	}
	how, err := s.status(ctx, reply.Bore, p.Lang)
	if err != nil {
		return err
	}
	if it := s.unbutton(&p, l, w, reply, how.line.Zone); it != nil {
		items = append(items, it)
	}
	said := s.messages(&p, reply)
	files := s.uploads(p, reply)
	if p.Parent != "" || !s.hasThread(reply.Bore) {
		files = append(s.paper(p, reply), files...)
	}
	if n := len(said); n > 0 && reply.Ask != nil {
		said, files = said[:n-1], append(files, said[n-1]) // the question stays last
	}
	items = append(append(items, said...), files...)
	if err := s.settle(ctx, l, append(items, s.elsewhere(p, reply, how)...), &p, dropped(before, p.Asked)...); err != nil {
		return err
	}
	s.places.forget(dropped(before, p.Asked))
	return nil
}

// dropped lists the questions that are remembered no more.
func dropped(before, after []asked) []string {
	var all []string
	for _, q := range before {
		if !slices.ContainsFunc(after, func(o asked) bool { return o.Post == q.Post }) {
			all = append(all, q.Post)
		}
	}
	return all
}

// messages puts a reply into its place, and remembers the question.
func (s *Service) messages(p *place, reply *bot.Reply) []*item {
	var items []*item
	before := ""
	if n := len(p.Asked); n > 0 {
		before = p.Asked[n-1].Post
	}
	for _, m := range s.render(reply) {
		it := &item{
			ID: s.out.id(), Op: opPost, Channel: p.Channel, Thread: p.Parent, Text: escaped(m.Text), Blocks: encode(m.Blocks),
			Broadcast: m.Release && p.Parent != "", Keep: m.Ask != nil, Before: before, Owner: p.Opener,
		}
		items = append(items, it)
		if m.Ask == nil {
			continue
		}
		q := asked{Post: it.ID, ID: m.Ask.ID}
		if len(m.Ask.Options) > 0 {
			q.Text, q.Blocks = it.Text, it.Blocks
		}
		p.Asked = append(p.Asked, q)
		if len(p.Asked) > keptQuestions {
			p.Asked = p.Asked[len(p.Asked)-keptQuestions:]
		}
	}
	return items
}

// unbutton takes the buttons off the last question once it is answered, or asked
// again below, and says who said what.
func (s *Service) unbutton(p *place, l letter, w who, reply *bot.Reply, zone *time.Location) *item {
	n := len(p.Asked)
	if n == 0 || p.Asked[n-1].Blocks == nil {
		return nil
	}
	q := &p.Asked[n-1]
	note := s.bot.Words(reply.Lang, "chat.again", nil)
	if w.User != "" && (reply.Ask == nil || reply.Ask.ID != q.ID) {
		note = s.bot.Words(reply.Lang, "chat.answered", map[string]any{"Name": w.Name, "Text": cut(l.Text, maxAlt)})
	}
	it := &item{
		ID: s.out.id(), Op: opUpdate, Channel: p.Channel, Of: q.Post, Text: q.Text + "\n" + escaped(note),
		Blocks: settled(*q, plainText(cut(note, maxSection)), marks(shown(s.cfg.Clock.Now(), zone))),
	}
	q.Text, q.Blocks = "", nil
	return it
}

// elsewhere is what a turn means for other places: the summary of the bore, and
// what the whole channel must see. A hold is louder than a release: a message of
// its own, that names who must act.
func (s *Service) elsewhere(p place, reply *bot.Reply, how status) []*item {
	t, ok := s.places.thread(reply.Bore)
	if p.Parent != "" {
		t, ok = p, true
	}
	if !ok || reply.Bore == "" {
		return nil
	}
	var items []*item
	for _, m := range s.render(&bot.Reply{Parts: reply.Parts, Lang: reply.Lang}) {
		if m.Loud {
			items = append(items, s.loud(t, m, reply.Lang))
		}
		if m.Exact && p.Parent == "" {
			items = append(items, &item{ID: s.out.id(), Op: opPost, Channel: t.Channel, Thread: t.Parent, Text: escaped(m.Text), Blocks: encode(m.Blocks)})
		}
		if m.Release && p.Parent == "" {
			items = append(items, &item{
				ID: s.out.id(), Op: opPost, Channel: t.Channel, Thread: t.Parent, Text: escaped(m.Text), Blocks: encode(m.Blocks), Broadcast: true,
			})
		}
	}
	if p.Parent == "" {
		items = append(items, s.paper(t, reply)...)
	}
	return append(items, s.summaryItem(t, how))
}

// hasThread says whether a bore has a thread in the channel of its crew.
func (s *Service) hasThread(bore string) bool {
	_, ok := s.places.thread(bore)
	return ok
}

// settle makes everything that a letter brought about durable at once, and takes
// the letter away.
func (s *Service) settle(ctx context.Context, l letter, items []*item, p *place, forgotten ...string) error {
	puts, deletes := map[string][]byte{}, []string{inKey + l.Key}
	for _, id := range forgotten {
		deletes = append(deletes, sentKey+id)
	}
	if p != nil {
		value, err := json.Marshal(p)
		if err != nil {
			return err
		}
		puts[p.storeKey()] = value
	}
	return s.deliver(ctx, items, puts, deletes, p)
}

func (s *Service) deliver(ctx context.Context, items []*item, puts map[string][]byte, deletes []string, p *place) error {
	for _, it := range items {
		if it.File != nil && it.File.data != nil {
			puts[bytesKey+it.ID] = it.File.data
		}
	}
	if p != nil {
		// Before anything is posted: an answer may come as soon as it is.
		s.places.set(*p)
	}
	return s.out.add(context.WithoutCancel(ctx), items, puts, deletes)
}
