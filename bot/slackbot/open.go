package slackbot

import (
	"context"
	"strings"

	"github.com/slack-go/slack"

	"firstrod/bot"
)

// lobby is for what is said outside of any bore: a command, a mention, a form.
// It opens a bore or finds one; for everything else it says where to say it.
func (s *Service) lobby(ctx context.Context, l letter) error {
	w := s.people.who(ctx, l, true)
	if w.Stand != mayAnswer {
		return s.refuse(ctx, l, place{}, w)
	}
	room := "slack:" + l.Team + "/lobby/" + l.Channel + "/" + l.User
	s.bot.Leave(room)
	defer s.bot.Leave(room)
	if l.Kind == submitted {
		l.Text = formText(l.Input)
	}
	l.Text = s.wording(ctx, l.Text)
	verb, rest := s.bot.Meant(l.Text)
	if l.direct() && (verb == "new" || verb == "resume") {
		return s.settle(ctx, l, []*item{s.hint(l, s.bot.Words(w.Lang, "chat.channel", nil))}, nil)
	}
	reply, err := s.turn(ctx, bot.Message{
		Room: room, Text: l.Text, Key: "slack:" + l.Key, From: "slack",
		Speaker: &bot.Speaker{Ref: w.Ref, Name: w.Name, Role: w.Role, Lang: w.Lang},
	})
	if err != nil {
		return err
	}
	bore := reply.Bore
	if bore == "" && verb == "new" {
		// Opened already: by this very message before a crash, or in a terminal.
		name, _, _ := strings.Cut(rest, ",")
		if id, ok := s.bot.Find(ctx, name); ok {
			bore = id
		}
	}
	if bore == "" && reply.Ask != nil && len(reply.Ask.Whole) > 0 {
		return s.settle(ctx, l, []*item{s.ways(l, &reply)}, nil)
	}
	if bore == "" {
		return s.settle(ctx, l, []*item{s.hint(l, s.welcome(l, w, verb, &reply))}, nil)
	}
	if t, ok := s.places.thread(bore); ok && s.stands(t) {
		text := s.bot.Words(w.Lang, "chat.there", map[string]any{"Bore": bore, "Where": s.link(t)})
		return s.settle(ctx, l, []*item{s.hint(l, text)}, nil)
	}
	return s.openThread(ctx, l, w, bore, &reply)
}

// wording makes "open OR-4, Otter Run" what the dialogue calls it: a bore that is
// there is gone back to, another one is new.
func (s *Service) wording(ctx context.Context, text string) string {
	word, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	if w := strings.ToLower(word); w != "open" && w != "abrir" && w != "abre" {
		return text
	}
	name, _, _ := strings.Cut(rest, ",")
	if _, ok := s.bot.Find(ctx, name); ok {
		return "resume " + name
	}
	return "new " + rest
}

// welcome says what can be said outside of a bore.
func (s *Service) welcome(l letter, w who, verb string, reply *bot.Reply) string {
	var lines []string
	switch verb {
	case "help", "bores", "new", "resume":
		for _, p := range reply.Parts {
			lines = append(lines, p.Text)
		}
	}
	if bores := s.places.in(l.Channel); len(bores) > 0 {
		lines = append(lines, s.bot.Words(w.Lang, "chat.astray", map[string]any{"Bores": strings.Join(bores, ", ")}))
	}
	return strings.Join(append(lines, s.bot.Words(w.Lang, "chat.welcome", nil)), "\n")
}

// ways is a question of the lobby. Nothing is remembered there, so that each answer
// is a whole message: a yes that is said later is about nothing.
func (s *Service) ways(l letter, reply *bot.Reply) *item {
	var lines, commands []string
	for _, p := range reply.Parts {
		lines = append(lines, p.Text)
	}
	var buttons []slack.BlockElement
	for i, way := range reply.Ask.Whole {
		commands = append(commands, "/firstrod "+way)
		buttons = append(buttons, slack.NewButtonBlockElement(answerAction+string(rune('a'+i)), cut(reply.Ask.ID+valueSplit+way, maxValue), plainText(cut(way, maxLabel))))
	}
	lines = append(lines, s.bot.Words(reply.Lang, "chat.whole", map[string]any{"Ways": strings.Join(commands, " / ")}))
	text := strings.Join(lines, "\n")
	it := s.hint(l, text)
	if l.Kind != submitted { // a form is answered in direct messages, where no bore is opened
		it.Blocks = encode([]slack.Block{slack.NewSectionBlock(plainText(cut(text, maxSection)), nil, nil), slack.NewActionBlock("ask", buttons...)})
	}
	return it
}

// stands says whether a thread is there: its first message was posted, or waits.
func (s *Service) stands(t place) bool {
	if _, ok := s.places.where(t.Parent); ok {
		return true
	}
	waits, _ := s.out.waits(t.Parent)
	return waits
}

// link is where a thread is.
func (s *Service) link(t place) string {
	at, ok := s.places.where(t.Parent)
	if !ok {
		return "#" + t.Channel
	}
	return strings.TrimSuffix(s.self.URL, "/") + "/archives/" + at.Channel + "/p" + strings.ReplaceAll(at.TS, ".", "")
}

// openThread opens the thread of a bore: the summary, pinned, and in the thread
// the cautions and the first question.
func (s *Service) openThread(ctx context.Context, l letter, w who, bore string, reply *bot.Reply) error {
	t := place{
		Bore: bore, Team: l.Team, Channel: l.Channel, Parent: s.out.id(), Opener: w.User,
		People: map[string]string{w.User: w.Role}, Verdict: string(reply.Verdict),
	}
	how, err := s.status(ctx, bore, "")
	if err != nil {
		return err
	}
	text, blocks := s.summary(how)
	parent := &item{
		ID: t.Parent, Op: opPost, Channel: t.Channel, Text: escaped(text), Blocks: encode(blocks), Keep: true, Fallback: l.Respond, Owner: w.User,
	}
	pin := &item{ID: s.out.id(), Op: opPin, Channel: t.Channel, Of: t.Parent}
	if reply.Bore == "" {
		// Known before: the lobby had no question to put.
		if reply, err = s.standing(ctx, t, l, w); err != nil {
			return err
		}
	}
	caution := bot.Part{Weight: bot.Caution, Text: s.bot.Words(reply.Lang, "caution.start", nil)}
	reply.Parts = append([]bot.Part{caution}, reply.Parts...)
	items := append([]*item{parent, pin}, s.messages(&t, reply)...)
	return s.settle(ctx, l, items, &t)
}

// standing is the question that stands on a bore that was opened before.
func (s *Service) standing(ctx context.Context, t place, l letter, w who) (*bot.Reply, error) {
	if err := s.enter(ctx, t); err != nil {
		return nil, err
	}
	reply, err := s.turn(ctx, bot.Message{
		Room: t.room(), Text: "status", Key: "slack:" + l.Key + "/standing", From: "slack",
		Speaker: &bot.Speaker{Ref: w.Ref, Name: w.Name, Role: w.Role, Lang: w.Lang},
	})
	return &reply, err
}

// formText is a form as somebody would type it.
func formText(input map[string]string) string {
	text := "new " + strings.TrimSpace(input[inputName])
	if where := strings.TrimSpace(input[inputPlace]); where != "" {
		text += ", " + where
	}
	if zone := strings.TrimSpace(input[inputZone]); zone != "" {
		text += ", " + zone
	}
	return text
}
