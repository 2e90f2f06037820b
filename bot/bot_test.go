package bot_test

import (
	"strings"
	"testing"

	"firstrod/bot"
	"firstrod/engine"
)

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

// Where both marks read wrong for one reason, what to do is said once.
func TestOneReasonOneAdvice(t *testing.T) {
	k := newTalk(t, "en")
	k.all(whole()[:28]...)
	k.expect("5' 6\", 5' 6\", 5' 6\"; 16' 6\", 16' 6\", 16' 6\"", "the near mark reads 5 ft 6 in", "the far mark reads 16 ft 6 in")
	const advice = "Measure the baseline again, centre to centre, calibrate again and read both marks."
	if n := strings.Count(k.last.String(), advice); n != 1 {
		t.Errorf("said %d times:\n%s", n, k.last.String())
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
