package bot

import (
	"context"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// What a front end needs beside the turns of a room.

// Pin makes a room be about its bore and no other: a thread of one bore, a page
// of one bore. Call it after [Bot.Resume].
func (b *Bot) Pin(name string) {
	r := b.room(name)
	defer r.mu.Unlock()
	r.pinned = true
}

// Speak fixes the language of a room, as the verb for it does.
func (b *Bot) Speak(name, lang string) {
	r := b.room(name)
	defer r.mu.Unlock()
	r.lang, r.fixedLang = b.spoken(lang), true
}

// Overtaken says in a room, without being asked, that other rules took the release of
// its bore away, and asks what is to be shown now. The reply is empty where that is
// not how the bore stands. Call it after [Bot.Resume].
func (b *Bot) Overtaken(ctx context.Context, name string) (Reply, error) {
	r := b.room(name)
	defer r.mu.Unlock()
	out := &Reply{}
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil || !b.tellOvertaken(r, &board, out) {
		return *out, err
	}
	r.board, out.Bore, out.Verdict, r.shown, r.pending = &board, board.Bore, board.Verdict, nil, nil
	err = b.askNext(ctx, r, &board, out)
	r.close(out)
	return *out, err
}

// overtaken says at the next message of a room that other rules took the release
// away, where the room last heard that it stands.
func (b *Bot) overtaken(ctx context.Context, r *room, out *Reply) error {
	if r.bore == "" || r.board == nil || r.board.Bore != r.bore || r.board.Verdict != engine.Ready {
		return nil
	}
	board, err := b.engine.Board(ctx, r.bore)
	if err == nil && b.tellOvertaken(r, &board, out) {
		r.board = &board
	}
	return err
}

// tellOvertaken is loud, and names each rule that says no.
func (b *Bot) tellOvertaken(r *room, board *engine.Board, out *Reply) bool {
	if board.State != engine.Open || board.Void != engine.VoidRules || r.told == board.VoidAt {
		return false
	}
	r.told = board.VoidAt
	why := b.voidReason(r, board.Void) + reasonTail(board.Why)
	void := b.say(r, "void", map[string]any{"Why": why, "Bore": board.Bore})
	out.add(Loud, strings.Join(append([]string{void}, b.stops(r, board)...), "\n"))
	return true
}

// Leave forgets a room. What was said in it is in the ledger.
func (b *Bot) Leave(name string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	delete(b.rooms, name)
}

// Meant says which verb a text starts with, and what follows it; "" for none.
func (b *Bot) Meant(text string) (verb, rest string) {
	v, rest := b.verb(text)
	if v == nil {
		return "", ""
	}
	return v.id, rest
}

// Understood says whether a text looks as if it was meant for the bot: one word
// that it obeys, a yes or a no, a value with its unit. It never decides what is
// meant, only whether to say that it was not taken.
func (b *Bot) Understood(text string) bool {
	v, rest := b.verb(text)
	if v != nil && (rest == "" || v.id == "hold" || v.id == "sign" || v.id == "report") {
		return true
	}
	if _, ok := yesNo(text); ok {
		return true
	}
	for _, kind := range []quantity.Kind{quantity.Length, quantity.Frequency, quantity.Decibel, quantity.Percent} {
		if quantity.Read(strings.TrimPrefix(text, "-"), quantity.Want{Kind: kind}).Outcome == quantity.Exact {
			return true
		}
	}
	return false
}

// Words words a message that a front end says by itself, in a language of
// [Languages].
func (b *Bot) Words(lang, id string, data map[string]any) string {
	return b.words.text(b.spoken(lang), id, data)
}

// Lang is the language until somebody asks for another.
func (b *Bot) Lang() string { return b.lang }

// Find gives the id of a bore by its name, if it was opened.
func (b *Bot) Find(ctx context.Context, name string) (bore string, ok bool) {
	id, err := engine.BoreID(name)
	if err != nil {
		return "", false
	}
	_, err = b.engine.Board(ctx, id)
	return id, err == nil
}

// Refuse records that somebody tried to speak on a bore whom the front end does
// not let: why says it in English, for the record.
func (b *Bot) Refuse(ctx context.Context, m Message, bore, why string) error {
	said := engine.Said{From: m.From, Lang: b.lang, Typed: clip(m.Text), Key: m.Key}
	return b.engine.Refuse(ctx, bore, said, m.Speaker.Ref, m.Speaker.Name, why)
}

// clip keeps of a refused message what is enough to know it by.
func clip(text string) string {
	const most = 200
	runes := []rune(text)
	if len(runes) > most {
		runes = runes[:most]
	}
	return string(runes)
}
