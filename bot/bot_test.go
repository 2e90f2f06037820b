package bot_test

import (
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"time"

	"firstrod/bot"
	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// talk is a conversation with the real bot on real rules and a real store.
type talk struct {
	t    *testing.T
	bot  *bot.Bot
	room string
	n    int
	last bot.Reply
	now  time.Time
}

func newTalk(t *testing.T, lang string) *talk {
	t.Helper()
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		t.Fatal(err)
	}
	set, err := rules.Load(t.Context(), base, rules.Options{Layer: "base"})
	if err != nil {
		t.Fatal(err)
	}
	return newTalkOf(t, lang, "", engine.Everywhere(set))
}

// newTalkOf is a conversation under the rules of more than one place.
func newTalkOf(t *testing.T, lang, jurisdiction string, book engine.Rulebook) *talk {
	t.Helper()
	k := &talk{t: t, room: "r", now: time.Date(2026, 11, 24, 15, 0, 0, 0, time.UTC)}
	clock := func() time.Time { return k.now }
	store, err := boltstore.Open(t.TempDir(), boltstore.Options{Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	e, err := engine.New(t.Context(), engine.Config{Rules: book, Store: store, Registry: store, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	k.bot, err = bot.New(bot.Config{
		Engine: e, Zone: "America/Phoenix", Jurisdiction: jurisdiction, Lang: lang, Contact: bot.Contact{Name: "Marta Quill", Phone: "555-0142"},
	})
	if err != nil {
		t.Fatal(err)
	}
	if k.last, err = k.bot.Start(t.Context(), k.room); err != nil {
		t.Fatal(err)
	}
	return k
}

// say types one message and gives the whole reply as text.
func (k *talk) say(text string) string {
	k.t.Helper()
	k.n++
	r, err := k.bot.Turn(k.t.Context(), bot.Message{Room: k.room, Text: text, Key: fmt.Sprint("m", k.n), From: "test"})
	if err != nil {
		k.t.Fatalf("%q: %v", text, err)
	}
	k.last = r
	return r.String()
}

// all types several messages.
func (k *talk) all(lines ...string) {
	k.t.Helper()
	for _, l := range lines {
		k.say(l)
	}
}

// expect types one message and wants each of some words in the reply.
func (k *talk) expect(text string, wants ...string) {
	k.t.Helper()
	got := k.say(text)
	for _, want := range wants {
		if !strings.Contains(got, want) {
			k.t.Errorf("to %q the reply lacks %q:\n%s", text, want, got)
		}
	}
}

// lacks wants words not to be in the last reply.
func (k *talk) lacks(words string) {
	k.t.Helper()
	if got := k.last.String(); strings.Contains(got, words) {
		k.t.Errorf("the reply has %q:\n%s", words, got)
	}
}

// whole is what the careful crew of a first bore types, from the first message
// to the last signature.
func whole() []string {
	return []string{
		"Dana Reyes, locating hand", "new OR-4, Otter Run",
		"OTR-2291, 2026-11-23, 2026-12-03", "7, 7", "yes", "no",
		"yes", "all yes", "no", "911; 555-0100; 12 Otter Run Road",
		"R-114, T-27, H-9, yes", "9.5 and 22 kHz", "20 h, 24 h", "10 h, 85 %, 90 %", "yes, yes, h-9",
		"14 ft, 240 ft, no", "0.2 %, -0.2 %", "34 ft, 41 ft", "all no", "-12 dB", "-9 dB",
		"10 ft, 10 ft, centres", "all yes", "yes", "normal, normal, 60", "normal, normal, 58",
		"5 ft, 15 ft", "calibration", `5' 0", 5' 0 1/2", 5' 0"; 15' 0 1/2", 15' 0 1/2", 15' 1"`, `5' 0 1/2", 5' 0 1/2", 5' 1"; 15' 1", 15' 0 1/2", 15' 1"`,
		"gas main", "none", "12 in", "yes", "41 ft, 6 ft, 4 in, 12 ft, 5 ft", "19:30",
		"sign", "yes", "sign Luis Ortega, drill operator", "yes",
	}
}

// The bore of two frequencies and one crossing takes a crew at most 40 messages.
func TestAtMostFortyMessages(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()...)
	if k.last.Verdict != engine.Ready {
		t.Fatalf("verdict %s after %d messages:\n%s", k.last.Verdict, k.n, k.last.String())
	}
	if k.n > 40 {
		t.Errorf("%d messages", k.n)
	}
	// A second bore with the same gear at the same place takes fewer.
	k.say("new OR-5, Otter Run")
	before := k.n
	second := append([]string{}, whole()[2:9]...)
	second = append(second, "yes", "yes") // the place, the gear: as before
	second = append(second, "9.5 and 22 kHz")
	second = append(second, whole()[13:]...)
	k.all(second...)
	if k.last.Verdict != engine.Ready {
		t.Fatalf("the second bore: %s\n%s", k.last.Verdict, k.last.String())
	}
	if n := k.n - before; n >= 38 {
		t.Errorf("%d messages for a bore with known gear", n)
	}
}

func TestSpanishCrew(t *testing.T) {
	k := newTalk(t, "es")
	k.all("Dana Reyes, localizadora", "nueva OR-4, Otter Run",
		"OTR-2291, 2026-11-23, 2026-12-03", "7, 7", "sí", "no",
		"si", "todo sí", "no", "911; 555-0100; Calle Nutria 12",
		"R-114, T-27, H-9, sí", "9.5 y 22 kHz", "20 h, 24 horas", "10 horas, 85 %, 90 %", "sí, sí, h-9",
		"14 pies, 73 m, no", "0.2 %, -0.2 %", "34 pies, 12.5 m", "todo no", "-12 dB", "-9 dB",
		"304.8 cm, 10 pies, centros", "todo sí", "sí", "normal, normal, 60", "normal, normal, 58",
		"5 pies, 15 pies", "calibración", "5 pies, 5 pies, 5 pies 1/2 pulg; 15 pies 1/2 pulgada, 15 pies, 15 pies", "5 pies 1/2 pulg, 5 pies, 5 pies; 15 pies 1 pulg, 15 pies 1 pulg, 15 pies",
		"gas", "ninguno", "12 pulgadas", "sí", "41 pies, 6 pies, 4 pulgadas, 12 pies, 1.5 m", "19:30",
		"firmar", "sí")
	k.expect("firmar Luis Ortega, operador", "mira los valores", "pies")
	k.expect("sí", "LISTA PARA PERFORAR", "localizador", "Registro")
	if strings.Contains(k.last.String(), "READY") || strings.Contains(k.last.String(), "Signed") {
		t.Errorf("English in a Spanish release:\n%s", k.last.String())
	}
}

func TestClumsyInput(t *testing.T) {
	k := newTalk(t, "en")
	k.expect("26", "does not read as a name")
	k.expect("Dana Reyes", "in which role")
	k.expect("boss", "in which role")
	k.expect("locator", "Dana Reyes, locating hand")
	k.expect("status", "Say which bore first")
	k.expect("OR-9", "There is no bore OR-9")
	k.expect("new fence by the road", "Open a bore")
	k.expect("new or-4, Otter Run", "OR-4 is open at Otter Run")
	k.expect("", "From the one-call ticket")
	k.expect("OTR-1", "3 answers are asked for", "Asked for: ticket; ticket from; ticket until", "From the one-call ticket")
	k.expect("OTR-1, soon, later", "date")
	k.expect("OTR-1, 2026-11-20, 2026-11-23", "BLOCKED", "not good today")
	k.expect("OTR-1, 2026-11-20, 2026-11-31", "no such day")
	k.expect("OTR-1, 2026-11-20, 2026-12-05", "Holds")
	k.expect("7 and 6", "BLOCKED")
	k.expect("7, 7", "Holds")
	k.expect("maybe", "yes or no")
	k.expect(strings.Repeat("x", 5000), "too long", "painted or flagged")
	k.expect("ye\x00s", "characters that cannot be typed", "painted or flagged")
	k.expect("\xff\xfe", "not readable text")
	k.expect("YES!", "Holds")
	k.expect("undo", "Taken back: 1 value", "painted or flagged")
	k.expect("why", "Source:", "To do:")
	k.expect("why overhead", "1926.1408")
	k.expect("why the sky is blue", "no such rule")
	k.expect("later", "Put off", "sign of a line")
}

// Readings that jump show nothing: no cause is named that only shifts them. One that
// is off by a slip of the hand is still a slip, and one of zero is not taken.
func TestReadingsThatJump(t *testing.T) {
	for lang, says := range map[string][3]string{
		"en": {"jump too much to show anything", "typed wrong", "0 ft (0.0 cm) is below 1 ft"},
		"es": {"brincan demasiado para mostrar algo", "escrito mal", "0 pies (0.0 cm) está por debajo de 1 pie"},
	} {
		k := newTalk(t, lang)
		k.all(whole()[:28]...)
		k.expect(`5 ft, 5 ft, 5 ft; 15 ft, 14' 9", 15' 4"`, "9.5 kHz", says[0])
		k.lacks("most likely")
		k.say("undo")
		k.expect("5 ft, 5 ft, 5 ft; 15 ft, 51 ft, 15 ft", says[1])
		k.say("undo")
		k.expect("0 ft, 0 ft, 0 ft; 15 ft, 15 ft, 15 ft", says[2])
		k.expect("yes", "9.5 kHz")
		k.lacks("safety manager")
	}
}

func TestUnitsAreAskedFor(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:17]...)
	k.expect("change deepest", "It was 14 ft")
	k.expect("14", "14 what", "ft")
	k.expect("ft", "14 ft (4.27 m)", "nearest metal")
	k.expect("26, 41 ft", "Taken as: 26 ft", "yes or no")
	k.expect("yes", "BLOCKED", "at least 30 ft (9.144 m)", "nearest metal")
	k.expect("3,050 cm", "thousands or decimals")
	k.expect("10 2", "10 what and 2 what")
	k.expect("29 ft 11 7/8 in", "29 ft 11 7/8 in", "BLOCKED", "Call Marta Quill 555-0142", "read out")
	k.expect("moved the vac, 34 ft", "moved the vac", "34 ft")
	k.expect("y", "Holds")
}

// A graded bore is asked three values more, and hears in numbers when its set-up
// cannot show the grade; any other is asked for none.
func TestAGradedBore(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:15]...)
	k.expect("14 ft, 300 ft, yes", "The grade in percent", "smallest step")
	k.expect("-0.4, 0.1, 0.1", "Both readings")
	k.expect("0.3 %, -0.1 %", "By pitch alone that is 3 5/8 in (9.2 cm) of depth over 300 ft", "good to 3 in",
		"BLOCKED: This set-up cannot show the grade: pitch may be wrong by 0.17", "of which the zero is 0.1 %", "The grade of -0.4 % may be off by 0.1 %")
	k.expect("-0.4, 0.2, 0.1", "Grade -0.4 %: pitch may be wrong by 0.17", "0.2 % allowed", "over 300 ft (91.44 m) that is")
	k.say("español")
	k.say("cambiar pendiente puede")
	k.expect("0.1 %", "BLOQUEADA: Este equipo no puede mostrar la pendiente: la inclinación puede fallar por 0.17")
}

func TestChangingAnAnswerVoidsTheReleaseAloud(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()...)
	k.expect("change deepest", "It was 14 ft")
	k.expect("15 ft", "RELEASE VOID", "OR-4 is not ready to drill", "Two people sign")
	k.expect("change 999", "Type change and the number")
	k.expect("sign Dana Reyes, foreman", "Sign? yes or no")
	k.expect("no", "Not signed")
}

func TestTheSamePersonCannotSignTwice(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:38]...)
	k.expect("sign", "nobody signs twice")
	k.expect("sign Dana Reyes, foreman", "nobody signs twice")
	k.expect("sign Rosa Lindt, locating hand", "in that role already")
	if k.last.Verdict == engine.Ready {
		t.Fatal("released")
	}
	k.expect("sign Luis Ortega, drill operator", "Sign? yes or no")
	k.expect("yes", "READY TO DRILL", "competent", "One-call"[3:])
}

func TestHoldAndReport(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()...)
	k.expect("report", "hard hit", "interference")
	k.expect("report interference, readings jump", "HELD: OR-4", "Stop drilling", "interference")
	k.expect("new fence charger by the road", "Holds")
	k.expect("switched off", "Holds")
	k.all("-12 dB", "-9 dB")
	k.expect("6 ft, 6' 1\"", "Known point", "Two people sign")
	k.all("sign", "yes", "sign Luis Ortega, drill operator")
	k.expect("yes", "READY TO DRILL")
	k.expect("hold smell of gas", "HELD: OR-4", "smell of gas")
	k.expect("status", "HELD")
}

// A hold without a reason holds at once. The reason is asked for afterwards, until
// it is given or put off, and is a record of its own.
func TestAHoldWithoutAReason(t *testing.T) {
	for lang, says := range map[string][]string{
		"en": {"hold", "HELD: OR-4. Stop drilling.", "Why?", "In the record, with the hold: smell of gas at rod 9", "Put off"},
		"es": {"alto", "DETENIDA: OR-4. Dejen de perforar.", "¿Por qué?", "En el registro, con el alto: smell of gas at rod 9", ""},
	} {
		k := newTalk(t, "en")
		k.all(whole()...)
		if lang == "es" {
			k.say("español")
		}
		k.expect(says[0], says[1], says[2])
		if k.last.Verdict == engine.Ready {
			t.Fatal("still ready to drill")
		}
		k.expect("status", strings.Split(says[1], ":")[0], says[2]) // a verb is obeyed, and it is asked again
		k.expect("yes", says[2])                                    // no reason at all
		k.expect("report interference", "OR-4", says[2])            // what else is seen is never taken for the reason
		k.expect("smell of gas at rod 9", says[3])
		k.lacks(says[2])
		k.expect("status", "smell of gas at rod 9")
		k.expect(says[0], says[1], says[2])
		k.say("later")
		k.lacks(says[2])
		if says[4] != "" && !strings.Contains(k.last.String(), says[4]) {
			t.Errorf("put off: %s", k.last.String())
		}
		k.expect(says[0]+" smell of gas again", "smell of gas again")
		k.lacks(says[2])
	}
}

func TestCheckWhileDrilling(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()...)
	k.expect("check", "1  Over an open hole", "2  Depth from the null points")
	k.expect("check 1", "depth to its centre by tape")
	k.expect("6 ft, 6 ft 1 in", "Open hole: 1 in (2.54 cm) long", "Holds")
	if k.last.Verdict != engine.Ready {
		t.Errorf("verdict %s", k.last.Verdict)
	}
	k.expect("check", "3  Depth from pitch and rods")
	k.expect("check 3", "pitch at the end of each rod", "A semicolon between the five")
	k.expect("10 ft; -20 %; -20 -16 -12 -8 -4 0 0 4 %; 0 ft; 6 ft 9 in", "By 8 rods and their pitches the head is at 6 ft 8 1/2 in", "Holds", "-16 %, -12 %")
	if k.last.Verdict != engine.Ready {
		t.Errorf("verdict %s", k.last.Verdict)
	}
	k.expect("check 3", "A semicolon between the five")
	k.expect("10 ft; -20 %; -20 -16 -12 -8 -4 0 0 4; 0 ft; 6 ft 9 in", "what", "Taken as")
	k.expect("yes", "Holds")
	k.expect("check 1", "by tape")
	k.expect("6 ft, 0 ft", "below 1 ft")
	k.expect("check 1", "by tape")
	k.expect("6 ft, 5 ft 6 in", "HELD: OR-4", "failed depth check", "values must be given again")
}

// An antenna held higher than the null points are deep disagrees with any depth; it is
// no fault of the rule.
func TestNullPointsAboveTheGround(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()...)
	k.say("check 2")
	k.expect("3 ft, 0 %, 5 ft, 6 ft", "HELD: OR-4", "failed depth check")
	k.lacks("at fault")
}

// The pair of the first bore comes back 6 dB stronger, as a transmitter that lies
// end-on or a mat right under the line makes it (6.02 dB, derived).
func TestAPairThatIsNotWhatItWas(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()...)
	k.say("new OR-5, Otter Run")
	second := append([]string{}, whole()[2:9]...)
	second = append(second, "yes", "yes", "9.5 and 22 kHz")
	second = append(second, whole()[13:24]...)
	k.all(second...)
	k.expect("normal, normal, 66", "LOOK AGAIN", "+6.0 dB against 1 earlier", "end-on")
	if len(k.last.Pictures) != 1 || len(k.last.Pictures[0].PNG) == 0 {
		t.Error("no picture of the history")
	} else if alt := k.last.Pictures[0].Alt; !strings.Contains(alt, "+6.0 dB against 1 earlier") {
		t.Errorf("the picture in words: %q", alt)
	}
	k.expect("normal, normal, 58.5", "+0.5 dB", "as usual")
	k.all(whole()[26:28]...)
	k.expect(whole()[28], "Holds", "LOOK AGAIN: 9.5 kHz: the readings hold", "along the line instead of across it", "Lay")
	k.expect(whole()[29], "Holds")
	k.lacks("LOOK AGAIN")
}

// The same pair comes back 4 dB weaker, as in another housing: the marks agree, and
// the diagnosis names the gear, in the language of the room.
func TestAnotherHousingShowsInTheHistory(t *testing.T) {
	for lang, says := range map[string][2]string{"en": {"english", "most likely the housing, the transmitter or the power is another"}, "es": {"español", "lo más probable es que la carcasa, el transmisor o la potencia sea otra"}} {
		k := newTalk(t, lang)
		k.all(whole()...)
		k.say("new OR-5, Otter Run")
		second := append([]string{}, whole()[2:9]...)
		second = append(second, "yes", "yes", "9.5 and 22 kHz")
		k.all(append(second, whole()[13:24]...)...)
		k.say("normal, normal, 56")
		k.say("normal, normal, 58")
		k.say(says[0])
		k.all(whole()[26:28]...)
		k.expect(whole()[28], says[1])
		// A wrong view on top is still the view: both are known apart.
		k.say("undo")
		k.expect(`4' 9 1/2", 4' 9 1/2", 4' 9 1/2"; 14' 9 1/2", 14' 9 1/2", 14' 9 1/2"`,
			map[string]string{"en": "its walking view", "es": "la vista de caminar"}[lang])
	}
}

func TestSafetyManagerWaives(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:7]...)
	k.expect("yes, yes, no", "BLOCKED")
	k.expect("sign", "Nobody signs", "  BLOCKED: Rig and locating hand do not hear each other.")
	k.expect("waive", "1", "waive, the number")
	k.expect("waive 1 hand signals agreed", "Only a safety manager")
	k.expect("i am Marta Quill, safety manager", "Marta Quill, safety manager")
	k.expect("waive 1 hand signals agreed", "WAIVED", "hand signals agreed")
	k.expect("status", "waived")
}

// users are people that a front end knows by themselves.
func (k *talk) as(ref, name, role, text string) string {
	k.t.Helper()
	k.n++
	r, err := k.bot.Turn(k.t.Context(), bot.Message{
		Room: k.room, Text: text, Key: fmt.Sprint("m", k.n), From: "chat",
		Speaker: &bot.Speaker{Ref: ref, Name: name, Role: role},
	})
	if err != nil {
		k.t.Fatalf("%q: %v", text, err)
	}
	k.last = r
	return r.String()
}

func TestPeopleThatTheFrontEndKnows(t *testing.T) {
	k := newTalk(t, "en")
	dana := func(text string) string { return k.as("chat:T1/U1", "Dana", engine.RoleLocatingHand, text) }
	luis := func(text string) string { return k.as("chat:T1/U2", "Luis", engine.RoleDrillOperator, text) }
	for _, l := range whole()[1:36] {
		dana(l)
	}
	want := func(got, part string) {
		t.Helper()
		if !strings.Contains(got, part) {
			t.Errorf("lacks %q:\n%s", part, got)
		}
	}
	want(dana("i am Luis, drill operator"), "You are Dana")
	want(dana("sign Luis, drill operator"), "Dana, locating hand: look at the values")
	want(luis("yes"), "nobody signs for somebody else")
	want(dana("yes"), "Signed: Dana")
	// Renamed in the middle of the bore: the reference says who it is.
	want(k.as("chat:T1/U1", "Dana R.", engine.RoleForeman, "sign"), "nobody signs twice")
	want(luis("sign"), "Luis, drill operator: look at the values")
	want(luis("yes"), "READY TO DRILL")
}

func TestADeliveryThatComesTwiceSaysNothingNew(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:5]...)
	m := bot.Message{Room: k.room, Text: "no", Key: "m5", From: "test"}
	r, err := k.bot.Turn(t.Context(), m)
	if err != nil || strings.Contains(r.String(), "no. Holds") || !strings.Contains(r.String(), "no mark") {
		t.Errorf("%v\n%s", err, r.String())
	}
}

func TestResumeARoomAfterARestart(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:20]...)
	k.room = "after"
	if err := k.bot.Resume(t.Context(), k.room, "OR-4"); err != nil {
		t.Fatal(err)
	}
	if got := k.as("chat:T1/U1", "Dana", engine.RoleLocatingHand, "-9 dB"); !strings.Contains(got, "-9 dB. Holds") {
		t.Errorf("the answer to the question that stood was not taken:\n%s", got)
	}
}

// Two lines in one trench, right at the entry, are drawn like any others.
func TestCrossingsAtOnePlaceAreDrawn(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:30]...)
	k.all("gas main, water", "none", "12 in", "yes", "yes", "2 ft, 6 ft, 4 in, 12 ft, 5 ft", "2 ft, 5 ft, 4 in, 12 ft, 5 ft")
	k.all(whole()[35:]...)
	if k.last.Verdict != engine.Ready || len(k.last.Pictures) != 2 {
		t.Fatalf("%s, %d pictures\n%s", k.last.Verdict, len(k.last.Pictures), k.last.String())
	}
	alt := k.last.Pictures[1].Alt
	if !strings.Contains(alt, "gas main, 6 ft") || !strings.Contains(alt, "water, 7 ft") {
		t.Errorf("%q", alt)
	}
}

func TestPictures(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:4]...)
	k.n++
	r, err := k.bot.Turn(t.Context(), bot.Message{Room: k.room, Key: "p1", From: "test", Files: []ledger.File{
		{Sum: strings.Repeat("ab", 32), Size: 1234, Type: "image/png", Name: "marks.png"},
	}})
	if err != nil || !strings.Contains(r.String(), "1 picture kept") || !strings.Contains(r.String(), "painted or flagged") {
		t.Fatalf("%v\n%s", err, r.String())
	}
	k.expect("photos", "marks.png", "2 kB")
	if len(k.last.Files) != 1 {
		t.Error("no file to show")
	}
}

func TestResumeWhereItWasLeft(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:20]...)
	k.room = "another"
	r, err := k.bot.Start(t.Context(), k.room)
	if err != nil || !strings.Contains(r.String(), "Who is speaking") {
		t.Fatal(r.String(), err)
	}
	k.expect("dana  REYES", "Dana Reyes, locating hand", "1  OR-4")
	k.expect("1", "NOT READY", "22 kHz: transmitter off")
	k.expect("new OR-7, Otter Run, Mars/Crater", "Mars/Crater is not known")
	k.expect("new OR-7, Otter Run, America/Denver", "OR-7 is open at Otter Run", "America/Denver")
	k.all("new OR-6, Otter Run")
	k.expect("resume OR-4", "22 kHz: transmitter off")
	k.expect("bores", "OR-4", "OR-6")
	k.expect("español", "De aquí en adelante")
	k.expect("quit", "queda registrado")
	if !k.last.Done {
		t.Error("not done")
	}
}
