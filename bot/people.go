package bot

import (
	"context"
	"strings"
	"time"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// meet learns who is speaking: "Dana Reyes, locating hand". A person who is
// known already need only say the name.
func (b *Bot) meet(ctx context.Context, r *room, m Message, text string, out *Reply) error {
	p, ok, err := b.introduce(ctx, r, m, text, out)
	if err != nil || !ok {
		return err
	}
	r.speaker = p
	out.add(Say, b.say(r, "who.hello", map[string]any{"Name": p.Name, "Role": b.role(r, p.Role())}))
	return nil
}

// introduce finds or makes the person that a text names. When the role is
// missing it asks for it; ok is false then.
func (b *Bot) introduce(ctx context.Context, r *room, m Message, text string, out *Reply) (engine.Person, bool, error) {
	name, role := b.nameAndRole(text)
	if known, ok := b.engine.Named(name); ok && role == "" {
		return known, true, nil
	}
	if !plausibleName(name) {
		out.add(Say, b.say(r, "who.name", nil))
		return engine.Person{}, false, nil
	}
	if role == "" {
		r.pending = &roleOf{name}
		out.Ask = &Ask{Text: b.say(r, "who.role", map[string]any{"Name": name}), Options: b.roles(r)}
		return engine.Person{}, false, nil
	}
	p, err := b.engine.Introduce(ctx, r.said(m), name, role)
	return p, err == nil, err
}

// nameAndRole splits "Dana Reyes, locating hand". Without a comma the role may
// stand at the end all the same.
func (b *Bot) nameAndRole(text string) (name, role string) {
	if i := strings.LastIndexAny(text, ",;"); i >= 0 {
		if role = b.roleOf(text[i+1:]); role != "" {
			return strings.TrimSpace(text[:i]), role
		}
	}
	fields := strings.Fields(text)
	for n := min(3, len(fields)-1); n > 0; n-- {
		if role = b.roleOf(strings.Join(fields[len(fields)-n:], " ")); role != "" {
			return strings.Join(fields[:len(fields)-n], " "), role
		}
	}
	return strings.TrimSpace(text), ""
}

// roleOf finds a role by its words in any language.
func (b *Bot) roleOf(text string) string {
	folded := fold(text)
	for _, role := range engine.Roles() {
		for _, lang := range Languages() {
			for _, w := range strings.Split(b.words.text(lang, "role.words."+role, nil), ",") {
				if folded == fold(w) {
					return role
				}
			}
		}
	}
	return ""
}

func (b *Bot) role(r *room, role string) string { return b.say(r, "role."+role, nil) }

func (b *Bot) roles(r *room) []string {
	var all []string
	for _, role := range engine.Roles() {
		all = append(all, b.role(r, role))
	}
	return all
}

// plausibleName: something a person may be called, not a reading or a number.
func plausibleName(name string) bool {
	got := quantity.Read(name, quantity.Want{Kind: quantity.Text})
	return got.Outcome == quantity.Exact && len(name) >= 2 && len(name) <= 60 && !strings.ContainsAny(name, "0123456789\n")
}

// roleOf is a name that still wants a role.
type roleOf struct{ name string }

func (p *roleOf) settle(ctx context.Context, b *Bot, r *room, m Message, out *Reply) (bool, error) {
	if role := b.roleOf(m.Text); role != "" {
		return true, b.meet(ctx, r, m, p.name+", "+m.Text, out)
	}
	if name, role := b.nameAndRole(m.Text); role != "" && name != "" {
		return true, b.meet(ctx, r, m, m.Text, out)
	}
	r.pending = p
	out.Ask = &Ask{Text: b.say(r, "who.role", map[string]any{"Name": p.name}), Options: b.roles(r)}
	return true, nil
}

// doSpeaker lets somebody else speak where the room itself knows nobody.
func doSpeaker(ctx context.Context, b *Bot, r *room, m Message, rest string, out *Reply) error {
	if r.known {
		out.add(Say, b.say(r, "who.known", map[string]any{"Name": r.speaker.Name, "Role": b.role(r, r.speaker.Role())}))
		return nil
	}
	return b.meet(ctx, r, m, rest, out)
}

// name is what to call the person behind a reference.
func (b *Bot) name(r *room, id string) string {
	p, ok := b.engine.Person(id)
	switch {
	case ok && !p.Erased.IsZero():
		return b.say(r, "who.erased", map[string]any{"Date": p.Erased.UTC().Format(time.DateOnly), "ID": id})
	case ok && p.Name != "":
		return p.Name
	}
	return id
}

// call says whom to call.
func (b *Bot) call(r *room) string {
	if b.contact.Name == "" && b.contact.Phone == "" {
		return b.say(r, "contact.none", nil)
	}
	return strings.TrimSpace(b.contact.Name + " " + b.contact.Phone)
}
