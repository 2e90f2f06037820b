package bot

import (
	"context"
	"strings"

	"firstrod/engine"
	"firstrod/engine/quantity"
)

// verb is one word that the bot obeys. A verb is known by its words in every
// language at once, so that nobody has to switch languages to be understood.
type verb struct {
	id       string   // names it in the help text: "verb.ID"
	words    []string // what may be typed, folded
	anybody  bool     // before anybody has said who they are
	anywhere bool     // without a bore
	do       func(ctx context.Context, b *Bot, r *room, m Message, rest string, out *Reply) error
}

// verbs lists what the bot obeys, in the order of the help text.
func verbs() []verb {
	return []verb{
		{id: "status", words: []string{"status", "board", "estado", "tablero"}, do: doStatus},
		{id: "why", words: []string{"why", "por que", "porque"}, do: doWhy},
		{id: "values", words: []string{"values", "valores"}, do: doValues},
		{id: "change", words: []string{"change", "cambiar", "cambia"}, do: doChange},
		{id: "undo", words: []string{"undo", "take back", "deshacer", "deshaz"}, do: doUndo},
		{id: "later", words: []string{"later", "luego", "despues"}, do: doLater},
		{id: "report", words: []string{"report", "reportar", "reporta", "avisar"}, do: doReport},
		{id: "check", words: []string{"check", "revisar", "revisa"}, do: doCheck},
		{id: "hold", words: []string{"hold", "stop", "alto", "detener"}, do: doHold},
		{id: "sign", words: []string{"sign", "firmar", "firma", "firmo"}, do: doSign},
		{id: "photos", words: []string{"photos", "pictures", "fotos"}, do: doPhotos},
		{id: "waive", words: []string{"waive", "dispensar", "dispensa"}, do: doWaive},
		{id: "close", words: []string{"close", "cerrar", "cierra"}, do: doClose},
		{id: "jurisdiction", words: []string{"jurisdiction", "county", "jurisdiccion", "condado"}, do: doJurisdiction}, //nolint:misspell // Spanish
		{id: "bores", words: []string{"bores", "perforaciones"}, anywhere: true, do: doBores},
		{id: "resume", words: []string{"resume", "go to", "seguir", "ir a"}, anywhere: true, do: doResume},
		{id: "new", words: []string{"new", "nueva", "nuevo"}, anywhere: true, do: doNew},
		{id: "speaker", words: []string{"i am", "i'm", "soy"}, anybody: true, anywhere: true, do: doSpeaker},
		{id: "language", words: []string{"english", "ingles", "espanol", "spanish"}, anybody: true, anywhere: true, do: doLanguage},
		{id: "help", words: []string{"help", "ayuda", "?"}, anybody: true, anywhere: true, do: doHelp},
		{id: "leave", words: []string{"quit", "bye", "exit", "salir", "adios"}, anybody: true, anywhere: true, do: doLeave},
	}
}

// verb finds the verb that a message starts with, and what follows it. The
// longest words win, so that "por que" is not taken for something shorter.
func (b *Bot) verb(text string) (*verb, string) {
	folded := fold(text)
	var best *verb
	length := 0
	for i := range b.verbs {
		for _, w := range b.verbs[i].words {
			if len(w) > length && startsWith(folded, w) {
				best, length = &b.verbs[i], len(w)
			}
		}
	}
	if best == nil {
		return nil, ""
	}
	return best, after(text, len(strings.Fields(folded[:length])))
}

// startsWith says whether a folded text starts with whole words.
func startsWith(folded, words string) bool {
	rest, ok := strings.CutPrefix(folded, words)
	return ok && (rest == "" || strings.ContainsAny(rest[:1], " ,;:.-"))
}

// after is what follows the first n words, as it was typed.
func after(text string, n int) string {
	fields := strings.Fields(text)
	return strings.TrimLeft(strings.Join(fields[min(n, len(fields)):], " "), " ,;:-")
}

// freeText says whether the question that stands takes any words for an answer.
// Then only a word that stands alone is a verb: "new fence by the road" answers.
// A hold or a report is obeyed all the same; it must never be missed.
func (r *room) freeText() bool {
	if _, ok := r.pending.(*reasonOf); ok {
		return true
	}
	if r.shown == nil || len(r.shown.Asks) != 1 {
		return false
	}
	kind := r.shown.Asks[0].Kind
	return kind == quantity.Text || kind == quantity.Names
}

func (b *Bot) isVerb(r *room, v *verb, rest string) bool {
	if v == nil || !r.freeText() {
		return v != nil
	}
	return b.plainVerb(v, rest)
}

// plainVerb says whether a verb is meant where any words may be an answer: it
// stands alone, or it is a hold or a report of something that can be reported.
func (b *Bot) plainVerb(v *verb, rest string) bool {
	if v == nil || rest == "" || v.id == "hold" {
		return v != nil
	}
	event, _ := b.event(rest)
	return v.id == "report" && event != ""
}

// fold makes a text easy to compare: small letters, no accents, no marks at
// the ends, single spaces.
func fold(s string) string {
	s = strings.ToLower(s)
	s = strings.NewReplacer("á", "a", "é", "e", "í", "i", "ó", "o", "ú", "u", "ü", "u", "ñ", "n", "’", "'", "¿", "", "¡", "").Replace(s)
	return strings.Join(strings.Fields(strings.Trim(s, " .!")), " ")
}

func doHelp(_ context.Context, b *Bot, r *room, _ Message, _ string, out *Reply) error {
	lines := []string{b.say(r, "help.intro", nil)}
	for _, v := range b.verbs {
		lines = append(lines, "  "+b.say(r, "verb."+v.id, nil))
	}
	lines = append(lines, b.say(r, "help.end", nil))
	out.add(Sheet, strings.Join(lines, "\n"))
	return nil
}

func doLanguage(_ context.Context, b *Bot, r *room, m Message, _ string, out *Reply) error {
	r.lang, r.fixedLang = "es", true
	if f := fold(m.Text); strings.HasPrefix(f, "en") || strings.HasPrefix(f, "in") {
		r.lang = "en"
	}
	out.add(Say, b.say(r, "language.set", nil))
	return nil
}

func doLeave(_ context.Context, b *Bot, r *room, _ Message, _ string, out *Reply) error {
	out.add(Say, b.say(r, "leave", nil))
	out.Done = true
	return nil
}

func doUndo(ctx context.Context, b *Bot, r *room, m Message, _ string, out *Reply) error {
	t, err := b.engine.Undo(ctx, r.bore, r.said(m))
	if err != nil {
		return err
	}
	out.add(Say, b.sayN(r, "undo.done", len(t.Record.Drops), nil))
	b.tellVoid(r, &t, out)
	return nil
}

// doLater puts the question off: the next one in the order of the job comes.
func doLater(_ context.Context, b *Bot, r *room, _ Message, _ string, out *Reply) error {
	if r.shown == nil {
		out.add(Say, b.say(r, "later.nothing", nil))
		return nil
	}
	r.later[r.shown.Finding] = true
	out.add(Say, b.say(r, "later.done", nil))
	return nil
}

func doReport(ctx context.Context, b *Bot, r *room, m Message, rest string, out *Reply) error {
	event, why := b.event(rest)
	if event == "" {
		lines := []string{b.say(r, "report.which", nil)}
		for _, e := range engine.Events() {
			lines = append(lines, "  "+b.say(r, "event."+e, nil))
		}
		out.add(Sheet, strings.Join(lines, "\n"))
		return nil
	}
	t, err := b.engine.Report(ctx, r.bore, r.said(m), event, why)
	if err != nil {
		return err
	}
	what := map[string]any{"What": b.say(r, "event."+event, nil), "Bore": t.Board.Bore}
	if t.Board.State == engine.Held {
		out.add(Loud, b.say(r, "reported.held", what))
	} else {
		out.add(Say, b.say(r, "reported", what))
	}
	b.tellRedo(r, &t, out)
	return nil
}

// event finds which event a text starts with, by its words in any language.
func (b *Bot) event(text string) (event, rest string) {
	folded := fold(text)
	for _, e := range engine.Events() {
		for _, lang := range Languages() {
			for _, w := range strings.Split(b.words.text(lang, "event.words."+e, nil), ",") {
				w = fold(w)
				if startsWith(folded, w) {
					return e, after(text, len(strings.Fields(w)))
				}
			}
		}
	}
	return "", ""
}

// tellRedo says what must be given again.
func (b *Bot) tellRedo(r *room, t *engine.Turn, out *Reply) {
	if n := len(t.Record.Drops); n > 0 {
		out.add(Say, b.sayN(r, "redo", n, nil))
	}
}

func doClose(ctx context.Context, b *Bot, r *room, m Message, _ string, out *Reply) error {
	r.closing = true
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return err
	}
	if _, open := board.Next(engine.GateClose, nil); open && board.Verdict != engine.Finished {
		out.add(Say, b.say(r, "close.first", nil))
		return nil
	}
	t, err := b.engine.Close(ctx, r.bore, r.said(m))
	if err != nil {
		return err
	}
	r.closing = false
	out.add(Say, b.say(r, "closed", map[string]any{"Bore": t.Board.Bore, "Record": t.Receipt.Seq}))
	return nil
}

func doWaive(ctx context.Context, b *Bot, r *room, m Message, rest string, out *Reply) error {
	board, err := b.engine.Board(ctx, r.bore)
	if err != nil {
		return err
	}
	number, why, _ := strings.Cut(rest, " ")
	f, ok := b.failing(&board, number)
	if !ok {
		out.add(Sheet, b.failingSheet(r, &board))
		return nil
	}
	t, err := b.engine.Waive(ctx, r.bore, r.said(m), f.Key(), why)
	if err != nil {
		return err
	}
	ch, _ := board.Catalogue().Check(f.Check)
	out.add(Loud, b.say(r, "waived", map[string]any{"Rule": b.title(r, &t.Board, ch, f.Subject), "Who": r.speaker.Name, "Why": why}))
	return nil
}
