package bot

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// placing is a jurisdiction that waits for a word: one wrong letter in it would
// leave a county's rules out, and nobody would notice.
type placing struct {
	want  wanted
	typed string // the message that it came in
	by    string // who is asked, an id
	near  string // what a yes takes; "" for what was typed
	named bool   // no jurisdiction was given; the place's own text names one
}

// doubt asks about a jurisdiction for which no rules are known while others are, and
// about a place that names one where none was given. It gives false where there is
// nothing to ask.
func (b *Bot) doubt(r *room, m Message, w wanted, out *Reply) bool {
	k := engine.Look(b.engine.Places(), w.code)
	if !k.Doubtful() {
		return b.doubtText(r, m, w, b.named(w.place), out)
	}
	p := &placing{want: w, typed: m.Text, by: r.speaker.ID, near: k.Near}
	b.askUnknown(r, p, k, out)
	return true
}

// doubtText asks whether the place that a text names is meant, unless its rules hold
// already, or somebody has said that none is.
func (b *Bot) doubtText(r *room, m Message, w wanted, name string, out *Reply) bool {
	if name == "" || w.given && w.code == "" || !w.move && !engine.Inside(name, w.code) || !slices.Contains(b.engine.Places(), name) {
		return false
	}
	p := &placing{want: w, typed: m.Text, by: r.speaker.ID, near: name, named: true}
	b.ask(r, p, b.say(r, "place.named", map[string]any{"Text": strings.TrimSpace(w.place), "Near": name, "Code": w.code, "Move": w.move}), out)
	return true
}

func (b *Bot) askUnknown(r *room, p *placing, k engine.Known, out *Reply) {
	of := map[string]any{"Code": p.want.code, "Holds": k.Holds, "Near": k.Near}
	if k.Holds != "" {
		of["Others"] = strings.Join(k.Others, ", ")
	}
	out.add(Bad, b.say(r, "place.unknown", of))
	if k.Near != "" {
		b.ask(r, p, b.say(r, "place.near", of), out)
		return
	}
	b.ask(r, p, b.say(r, "place.sure", of), out)
}

func (b *Bot) ask(r *room, p *placing, text string, out *Reply) {
	r.pending = p
	out.Ask = &Ask{Text: text, Options: []string{b.say(r, "yes", nil), b.say(r, "no", nil)}}
	if p.near != "" && !p.named {
		out.Ask.Options = append(out.Ask.Options, p.want.code)
	}
	if p.want.move {
		return
	}
	if p.near != "" {
		out.Ask.Whole = append(out.Ask.Whole, b.again(r, p.want, p.near))
	}
	if p.named {
		out.Ask.Whole = append(out.Ask.Whole, b.again(r, p.want, cmp.Or(p.want.code, b.say(r, "place.none", nil))))
		return
	}
	out.Ask.Whole = append(out.Ask.Whole, b.again(r, p.want, p.want.code, b.say(r, "yes", nil)))
}

func (p *placing) names() []string {
	return []string{p.typed, p.want.code, p.near, p.by}
}

func (p *placing) settle(ctx context.Context, b *Bot, r *room, m Message, out *Reply) (bool, error) {
	if v, _ := b.verb(m.Text); v != nil {
		return false, nil
	}
	if r.speaker.ID != p.by {
		// A yes of somebody else is about something else.
		r.pending = p
		out.add(Say, b.say(r, "place.not_you", map[string]any{"Name": b.name(r, p.by)}))
		out.Ask = r.last.Ask
		return true, nil
	}
	yes, said := yesNo(m.Text)
	code, ok := p.meant(m.Text)
	m.Text = p.typed + " / " + m.Text
	switch {
	case said && !yes && p.named && !p.want.move && b.doubtText(r, m, p.want, ledger.Wider(p.near), out):
		return true, nil // not that county, but its state?
	case !ok:
		b.leave(r, p, out)
		return true, nil
	}
	again := p.want
	if again.code = code; code != p.want.code && code != p.near {
		again.given = true
		if b.doubt(r, m, again, out) {
			return true, nil
		}
	}
	switch {
	case p.want.move:
		return true, b.move(ctx, r, m, code, out)
	case !p.named && b.doubtText(r, m, again, b.named(again.place), out):
		return true, nil // the state is settled, and the text names a county of it
	}
	return true, b.openBore(ctx, r, m, again, out)
}

// leave does nothing, and says so.
func (b *Bot) leave(r *room, p *placing, out *Reply) {
	id := "place.left"
	if p.want.move {
		id = "place.stays"
	}
	out.add(Say, b.say(r, id, map[string]any{"Bore": strings.TrimSpace(p.want.bore)}))
}

// meant is the jurisdiction that an answer settles on; ok is false for none. A yes
// takes what was asked about. A no takes nothing, but where only the text of a place
// had named one. A jurisdiction that is typed is meant, and so is the same once more, and none.
func (p *placing) meant(text string) (code string, ok bool) {
	if yes, ok := yesNo(text); ok {
		switch {
		case yes:
			return cmp.Or(p.near, p.want.code), true
		case p.named && !p.want.move:
			return p.want.code, true
		}
		return "", false
	}
	if isNone(text) {
		return "", true
	}
	code, ok = jurisdiction(text)
	same := code == p.want.code && !p.named
	return code, ok && (same || strings.ContainsAny(code, "-/"))
}
