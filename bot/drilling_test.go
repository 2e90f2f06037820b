package bot_test

import (
	"strings"
	"testing"

	"firstrod/bot"
	"firstrod/engine"
	"firstrod/engine/ledger"
)

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
