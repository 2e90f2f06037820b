package bot

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"

	"firstrod/engine"
)

// A front end that shows questions to several people at once must not let an
// answer to one question pass for the answer to the next. Each question has an
// id; a message may say which one was on the screen, and if that is not the one
// that stands, only verbs in it are obeyed.

// identify is the id of what the next message would answer.
func (r *room) identify() string {
	names := []string{r.bore}
	switch {
	case r.pending != nil:
		names = append(names, fmt.Sprintf("%T", r.pending))
		names = append(names, r.pending.names()...)
	case r.shown != nil:
		names = append(names, "ask", r.shown.Finding)
		names = append(names, r.shown.Keys()...)
	case r.bore == "" && r.last.Ask != nil:
		// A number means a line of the list that is shown.
		names = append(names, "bores", r.last.Ask.Text)
	default:
		names = append(names, "next")
	}
	sum := sha256.Sum256([]byte(strings.Join(names, "\x00")))
	return hex.EncodeToString(sum[:8])
}

// close ends a reply: it is what may be said again, and its question gets the
// id that an answer must carry.
func (r *room) close(out *Reply) {
	out.Lang = r.lang
	r.last = *out
	r.about = r.identify()
	if out.Ask != nil {
		out.Ask.ID = r.about
		out.Ask.Waits = r.pending != nil && !fromLedger(r.pending)
	}
}

// standing makes a room expect what it would have asked for now: the next
// question, or a yes to the values of an earlier bore.
func (b *Bot) standing(ctx context.Context, r *room, board *engine.Board) error {
	if b.askReason(r, board, &Reply{}) {
		return nil
	}
	q, ok := board.Next(engine.GateRelease, nil)
	if !ok || board.Verdict == engine.Ready || board.Verdict == engine.Finished {
		return nil
	}
	if q.Carry != "" && !q.Again {
		answers, err := b.engine.Offer(ctx, r.bore, q.Carry)
		if err != nil {
			return err
		}
		if len(answers) > 0 {
			r.pending = &offered{q, answers}
			return nil
		}
	}
	r.shown = q
	return nil
}

// fromLedger says whether a restart can tell from the records alone what was
// asked.
func fromLedger(p pending) bool {
	switch p.(type) {
	case *offered, *reasonOf:
		return true
	}
	return false
}

// late says that a message answered another question. What stands is asked
// again; what waits for a yes goes on waiting.
func (b *Bot) late(r *room, out *Reply) {
	out.add(Say, b.say(r, "answer.late", nil))
	if r.pending != nil {
		out.Ask = r.last.Ask
	}
}

func (u *unsureOf) names() []string { return append(u.question.Keys(), u.typed) }
func (o *offered) names() []string {
	names := []string{o.question.Carry}
	for _, a := range o.answers {
		names = append(names, a.Key, a.Value.Exact())
	}
	return names
}
func (p *roleOf) names() []string   { return []string{p.name} }
func (s *signing) names() []string  { return []string{s.person.ID, strconv.FormatInt(s.ver, 10)} }
func (c *changing) names() []string { return c.question.Keys() }
