package bot_test

import (
	"fmt"
	"strings"
	"testing"

	"firstrod/bot"
	"firstrod/engine"
)

// A message that says which question it answers is taken for no other.
func TestAnAnswerIsToOneQuestion(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:4]...)
	first := k.last.Ask.ID
	say := func(text, answers string) string {
		k.n++
		r, err := k.bot.Turn(t.Context(), bot.Message{Room: k.room, Text: text, Key: fmt.Sprint("m", k.n), From: "test", Answers: answers})
		if err != nil {
			t.Fatal(err)
		}
		k.last = r
		return r.String()
	}
	if got := say("yes", first); !strings.Contains(got, "Holds") || k.last.Ask.ID == first {
		t.Fatalf("%q\n%s", k.last.Ask.ID, got)
	}
	second := k.last.Ask.ID
	if got := say("yes", first); !strings.Contains(got, "before the question below") || k.last.Ask.ID != second {
		t.Errorf("taken twice:\n%s", got)
	}
	if got := say("status", first); !strings.Contains(got, "3 of 4 hold") || k.last.Ask.ID != second {
		t.Errorf("a verb is obeyed whenever it was said:\n%s", got)
	}
	// What waits for a yes is a question of its own, and goes on waiting.
	say("change ticket", second)
	waits := k.last.Ask
	if waits.ID == second || !waits.Waits {
		t.Errorf("%+v", waits)
	}
	if got := say("no", second); !strings.Contains(got, "before the question below") || k.last.Ask.ID != waits.ID {
		t.Errorf("%s", got)
	}
	if got := say("OTR-9", waits.ID); !strings.Contains(got, "OTR-9") {
		t.Errorf("%s", got)
	}
}

// The id of a question is the same in every language and after a restart.
func TestAQuestionKeepsItsID(t *testing.T) {
	k := newTalk(t, "en")
	for _, l := range whole() {
		if k.last.Bore != "" && !k.last.Ask.Waits && k.last.Verdict != engine.Ready {
			if err := k.bot.Resume(t.Context(), "again", "OR-4"); err != nil {
				t.Fatal(err)
			}
			k.bot.Speak("again", "es")
			r, err := k.bot.Turn(t.Context(), bot.Message{
				Room: "again", Text: "estado", Key: fmt.Sprint("again", k.n), From: "test",
				Speaker: &bot.Speaker{Ref: "chat:1", Name: "Ana", Role: engine.RoleForeman},
			})
			if err != nil || r.Ask.ID != k.last.Ask.ID || r.Lang != "es" {
				t.Fatalf("%v: %q became %q\n%s\n%s", err, k.last.Ask.ID, r.Ask.ID, k.last.Ask.Text, r.Ask.Text)
			}
		}
		k.say(l)
	}
}

// The reason of a hold is asked for after a restart too, and taken.
func TestAReasonIsAskedAfterARestart(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:4]...)
	k.say("hold")
	id := k.last.Ask.ID
	if k.last.Ask.Waits {
		t.Error("the records alone say what was asked")
	}
	k.room = "again"
	if err := k.bot.Resume(t.Context(), k.room, "OR-4"); err != nil {
		t.Fatal(err)
	}
	r, err := k.bot.Turn(t.Context(), bot.Message{Room: k.room, Text: "gas alarm went off", Key: "again", From: "test", Answers: id,
		Speaker: &bot.Speaker{Ref: "chat:1", Name: "Ana", Role: engine.RoleForeman}})
	if err != nil || !strings.Contains(r.String(), "with the hold: gas alarm went off") {
		t.Errorf("%v\n%s", err, r.String())
	}
}

func TestAPinnedRoomStaysWithItsBore(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:3]...)
	k.bot.Pin(k.room)
	for _, text := range []string{"new OR-9, Elsewhere", "resume OR-4", "resume"} {
		k.expect(text, "OR-4 and no other")
	}
	if k.last.Bore != "OR-4" {
		t.Errorf("the room is about %q", k.last.Bore)
	}
}

func TestWhatLooksMeant(t *testing.T) {
	k := newTalk(t, "en")
	for text, want := range map[string]bool{
		"yes": true, "sí": true, "34 ft": true, `10' 2"`: true, "-12 dB": true, "22 kHz": true, "85 %": true,
		"hold smell of gas": true, "status": true, "firmar": true, "report hard hit": true,
		"lunch at noon?": false, "new truck is here": false, "why not": false, "": false, "see you at 7": false,
	} {
		if got := k.bot.Understood(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
	if verb, rest := k.bot.Meant("nueva OR-4, Otter Run"); verb != "new" || rest != "OR-4, Otter Run" {
		t.Errorf("%q %q", verb, rest)
	}
}

func TestOverview(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:5]...)
	k.say("new OR-5, Badger Flat")
	lines, err := k.bot.Overview(t.Context(), "es", 5)
	if err != nil || len(lines) != 2 || lines[0].Bore != "OR-5" || lines[1].Place != "Otter Run" || lines[1].Next == "" {
		t.Fatalf("%+v %v", lines, err)
	}
	m := bot.Message{Text: "yes", Key: "x1", From: "chat", Speaker: &bot.Speaker{Ref: "chat:T/U9", Name: "Gus"}}
	if err := k.bot.Refuse(t.Context(), m, "OR-4", "an answer by a guest"); err != nil {
		t.Fatal(err)
	}
	tried, err := k.bot.Refused(t.Context(), 5)
	if err != nil || len(tried) != 1 || tried[0].Who != "Gus" || tried[0].Bore != "OR-4" {
		t.Errorf("%+v %v", tried, err)
	}
}

// What did not apply so far was not looked at, and is not counted as held; once
// something is reported it is.
func TestTheBoardCountsOnlyWhatWasAsked(t *testing.T) {
	for lang, says := range map[string][3]string{
		"en": {"status", "While drilling       nothing to check so far", "While drilling       2 of 4 hold"},
		"es": {"estado", "Al perforar          nada que revisar todavía", "Al perforar          2 de 4 se cumplen"},
	} {
		k := newTalk(t, lang)
		k.all(whole()...)
		k.expect(says[0], says[1])
		k.say("report interference, readings jump at rod 9")
		k.expect(says[0], says[2])
	}
}
