package bot_test

import (
	"context"
	"io/fs"
	"strings"
	"sync"
	"testing"

	"firstrod/bot"
	"firstrod/engine"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// everyPlace is the rules inside the program, of all places; loaded once, for a book
// never changes.
var everyPlace = sync.OnceValues(func() (*rules.Book, error) {
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		return nil, err
	}
	local, err := fs.Sub(policies.Local, "local")
	if err != nil {
		return nil, err
	}
	return rules.LoadBook(context.Background(), rules.Layers{Base: base, Local: local}, rules.Options{})
})

func newTalkEverywhere(t *testing.T, lang, jurisdiction string) *talk {
	t.Helper()
	book, err := everyPlace()
	if err != nil {
		t.Fatal(err)
	}
	k := newTalkOf(t, lang, jurisdiction, book)
	k.say("Dana Reyes, locating hand")
	return k
}

// opened says whether the room has come to a bore.
func (k *talk) opened(bore string) bool { return k.last.Bore == bore }

// A jurisdiction that no pack knows opens nothing before somebody has said so.
func TestAPlaceThatNobodyKnowsIsAskedAbout(t *testing.T) {
	for _, c := range []struct {
		name, lang, setting, first, second string
		asks                               string // in the first reply
		says                               string // in the second
		opened                             bool
	}{
		{name: "yes takes what was meant", first: "new Z-1, Alder Mill, US-VA/aldr", second: "yes", asks: "Did you mean US-VA/alder?", says: "Alder County, over the base", opened: true},
		{name: "no opens nothing", first: "new Z-1, Alder Mill, US-VA/aldr", second: "no", asks: "US-VA/alder?", says: "Z-1 was not opened"},
		{name: "once more", first: "new Z-1, Alder Mill, US-VA/aldr", second: "us-va/Aldr", asks: "once more", says: "Rules for US-VA/aldr: One-call law of US-VA; Virginia: trenchless excavation, over the base", opened: true},
		{name: "put right", first: "new Z-1, Alder Mill, US-VA/aldr", second: "US-VA/alder", asks: "US-VA/alder?", says: "Alder County, over the base", opened: true},
		{name: "another slip", first: "new Z-1, Alder Mill, US-VA/aldr", second: "US-VA/aler", asks: "US-VA/alder?", says: "Did you mean US-VA/alder?"},
		{name: "anything else", first: "new Z-1, Alder Mill, US-VA/aldr", second: "OTR-2291", asks: "US-VA/alder?", says: "was not opened"},
		{name: "ok is no yes", first: "new Z-1, Alder Mill, US-VA/aldr", second: "ok", asks: "US-VA/alder?", says: "was not opened"},
		{name: "far from all", first: "new Z-1, Alder Mill, US-VA/brandy", second: "yes", asks: "Is US-VA/brandy right all the same?", says: "Rules for US-VA/brandy: ", opened: true},
		{name: "far from all, no", first: "new Z-1, Alder Mill, US-VA/brandy", second: "no", asks: "Known in US-VA: US-VA/alder.", says: "was not opened"},
		{name: "no such state", first: "new Z-1, Alder Mill, US-XX", second: "no", asks: "Only the base would hold there", says: "was not opened"},
		{name: "no country", first: "new Z-1, Alder Mill, VA", second: "yes", asks: "Did you mean US-VA?", says: "Rules for US-VA: ", opened: true},
		{name: "no country, and a county in words", first: "new Z-1, Alder County, VA", second: "yes", asks: "Did you mean US-VA?", says: "is that US-VA/alder,"},
		{name: "the setting", setting: "US-VA/aldr", first: "new Z-1, Alder Mill", second: "no", asks: "Did you mean US-VA/alder?", says: "was not opened"},
		{name: "the county in words", first: "new Z-1, Alder Mill, alder county, Virginia", second: "yes", asks: "is that US-VA/alder", says: "Alder County, over the base", opened: true},
		{name: "not that county", first: "new Z-1, Alder Mill, Alder County, Virginia", second: "no", asks: "only the base holds", says: "is that US-VA,"},
		{name: "not that state", first: "new Z-1, 12 Virginia Street", second: "no", asks: "only the base holds", says: "Z-1 is open", opened: true},
		{name: "the county in words, no answer", first: "new Z-1, Alder County", second: "14 ft", asks: "is that US-VA/alder", says: "was not opened"},
		{name: "the county in words, under its state", first: "new Z-1, Alder County, US-VA", second: "yes", asks: "is that US-VA/alder", says: "Alder County, over the base", opened: true},
		{name: "the state in words", first: "new Z-1, Charleston, West Virginia", second: "yes", asks: "is that US-WV,", says: "Rules for US-WV", opened: true},
		{name: "two letters", first: "new Z-1, Alder Mill VA", second: "no", asks: "is that US-VA/alder,", says: "is that US-VA,"},
		{name: "a code with a gap", first: "new Z-1, Alder Mill, US-VA alder", second: "yes", asks: "is that US-VA/alder,", says: "Alder County", opened: true},
		{name: "a code for a place", first: "new Z-1, US-VA/aldr", second: "yes", asks: "Did you mean US-VA/alder?", says: "Alder County", opened: true},
		{name: "a road", first: "new Z-1, Mill Road, US-19", second: "none", asks: "Is US-19 right all the same?", says: "Z-1 is open at Mill Road", opened: true},
		{name: "Spanish", lang: "es", first: "nueva Z-1, Molino, US-VA/aldr", second: "sí", asks: "¿Quisiste decir US-VA/alder?", says: "Condado de Alder, sobre la base", opened: true},
		{name: "Spanish, far", lang: "es", first: "nueva Z-1, Molino, US-VA/brandy", second: "no", asks: "¿Es correcto US-VA/brandy de todos modos?", says: "no se abrió"},
		{name: "Spanish, in words", lang: "es", first: "nueva Z-1, Molino, Condado de Alder", second: "sí", asks: "¿es US-VA/alder,", says: "Condado de Alder, sobre la base", opened: true},
		{name: "Spanish, a state", lang: "es", first: "nueva Z-1, Nuevo Mexico", second: "sí", asks: "¿es US-NM,", says: "Reglas para US-NM", opened: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := newTalkEverywhere(t, c.lang, c.setting)
			k.expect(c.first, c.asks)
			if k.last.Bore != "" {
				t.Errorf("opened at once:\n%s", k.last.String())
			}
			k.expect(c.second, c.says)
			if k.opened("Z-1") != c.opened {
				t.Errorf("opened %v:\n%s", k.opened("Z-1"), k.last.String())
			}
		})
	}
}

// What is plain is not asked about, and what is said with its yes neither.
func TestAPlaceThatIsKnownIsNotAskedAbout(t *testing.T) {
	for i, c := range []struct{ setting, first, says string }{
		{"", "new Z-1, Alder Mill", "Z-1 is open at Alder Mill."},
		{"", "new Z-1, Alder Mill, US-VA/alder", "Alder County"},
		{"", "new Z-1, US-VA/alder", "Alder County"},
		{"", "new Z-1, Alder Mill, us-va/Alder/Two Mills", "Rules for US-VA/alder/two-mills: "},
		{"", "new Z-1, Alder Mill, US-VA/brandy, yes", "Rules for US-VA/brandy: "},
		{"", "new Z-1, Alder County, none", "Z-1 is open"},
		{"", "new Z-1, Elm, US-TX/harrow", "Rules for US-TX/harrow"},
		{"US-VA/alder", "new Z-1, Alder County, Virginia", "Alder County"},
		{"US-VA", "new Z-1, 12 Virginia Street", "Rules for US-VA: "},
	} {
		if k := newTalkEverywhere(t, "en", c.setting); true {
			k.expect(c.first, c.says)
			if !k.opened("Z-1") {
				t.Errorf("%d, %q: not opened:\n%s", i, c.first, k.last.String())
			}
		}
	}
	k := newTalkEverywhere(t, "en", "")
	k.expect("new Z-1, Alder County, yes", "is that US-VA/alder") // that yes is about no jurisdiction
	k.expect("new Z-1, Alder Mill, VA/alder", "is no place that rules can hold in")
}

// A yes that comes later, or from somebody else, settles nothing.
func TestAStrayYesIsAboutNothing(t *testing.T) {
	k := newTalkEverywhere(t, "en", "")
	k.all("new Z-1, Alder Mill, US-VA/brandy", "help", "yes")
	if k.last.Bore != "" {
		t.Errorf("opened by a yes after something else:\n%s", k.last.String())
	}
	k.all("new Z-1, Alder Mill, US-VA/brandy", "i am Luis Ortega, drill operator", "yes")
	if k.last.Bore != "" {
		t.Errorf("opened by somebody else:\n%s", k.last.String())
	}
	speaks := func(ref, name, text, about string) string {
		t.Helper()
		k.n++
		r, err := k.bot.Turn(t.Context(), bot.Message{
			Room: "thread", Text: text, Key: "s" + text + ref, From: "test", Answers: about,
			Speaker: &bot.Speaker{Ref: ref, Name: name, Role: engine.RoleLocatingHand},
		})
		if err != nil {
			t.Fatal(err)
		}
		k.last = r
		return r.String()
	}
	speaks("d", "Dana Reyes", "new Z-2, Alder Mill, US-VA/alder", "")
	old := k.last.Ask.ID
	speaks("d", "Dana Reyes", "jurisdiction US-VA/aldre", old)
	asked := k.last.Ask.ID
	if !k.last.Ask.Waits || asked == old {
		t.Fatalf("not asked:\n%s", k.last.String())
	}
	if got := speaks("d", "Dana Reyes", "yes", old); strings.Contains(got, "Rules for") {
		t.Errorf("a yes to an older question:\n%s", got)
	}
	if got := speaks("l", "Luis Ortega", "Yes", asked); !strings.Contains(got, "This question is for Dana Reyes") {
		t.Errorf("a yes of somebody else:\n%s", got)
	}
	if got := speaks("d", "Dana Reyes", "no", asked); !strings.Contains(got, "stays as it was") {
		t.Errorf("a no:\n%s", got)
	}
}

// The verb asks in the same way, and a move is recorded with both messages.
func TestAMoveIsAskedAbout(t *testing.T) {
	k := newTalkEverywhere(t, "en", "")
	k.say("new Z-1, Alder Mill, US-VA/alder")
	k.expect("jurisdiction US-VA/brandy", "Is US-VA/brandy right all the same?")
	k.expect("no", "stays as it was", "From the one-call ticket")
	k.expect("jurisdiction", "Rules for US-VA/alder: ")
	k.expect("jurisdiction US-VA/aldr", "Did you mean US-VA/alder?")
	k.expect("yes", "already")
	k.expect("jurisdiction US-VA/brandy", "Is US-VA/brandy right")
	k.expect("yes", "Rules for US-VA/brandy: ")
	k.expect("jurisdiction Alder County", "is that US-VA/alder")
	k.expect("yes", "Alder County, over the base")
	k.expect("jurisdiction Virginia", "is that US-VA,")
	k.expect("no", "stays as it was")
	k.expect("jurisdiction nowhere", "is no place that rules can hold in")
}

// What a reply offers to a place that remembers nothing does by itself what it says.
func TestWholeMessagesSettleIt(t *testing.T) {
	for _, c := range []struct {
		lang, first string
		want        []string // jurisdictions, in the order of the ways
	}{
		{"en", "new Z-%d, Alder Mill, US-VA/aldr", []string{"US-VA/alder", "US-VA/aldr"}},
		{"es", "nueva Z-%d, Molino, America/Denver, US-VA/brandy", []string{"US-VA/brandy"}},
		{"es", "nueva Z-%d, Condado de Alder", []string{"US-VA/alder", ""}},
	} {
		k := newTalkEverywhere(t, c.lang, "")
		k.say(strings.Replace(c.first, "%d", "0", 1))
		ways := k.last.Ask.Whole
		if len(ways) != len(c.want) {
			t.Fatalf("%q: ways %q", c.first, ways)
		}
		for i, way := range ways {
			fresh := newTalkEverywhere(t, c.lang, "")
			fresh.say(way)
			if !fresh.opened("Z-0") {
				t.Fatalf("%q opens nothing:\n%s", way, fresh.last.String())
			}
			if c.want[i] != "" && !strings.Contains(fresh.last.String(), " "+c.want[i]+": ") {
				t.Errorf("%q: not in %s:\n%s", way, c.want[i], fresh.last.String())
			}
		}
	}
}

// Every state of the table has its name in every language.
func TestStatesHaveNames(t *testing.T) {
	book, err := everyPlace()
	if err != nil {
		t.Fatal(err)
	}
	k := newTalkEverywhere(t, "en", "")
	for _, place := range book.Places() {
		for _, lang := range bot.Languages() {
			id := "place." + place
			if place != "" && !strings.Contains(place, "/") && k.bot.Words(lang, id, nil) == id {
				t.Errorf("%s has no name in %s", place, lang)
			}
		}
	}
}

// Why a county is stricter is said where a crew asks why.
func TestWhyACountyIsStricter(t *testing.T) {
	k := newTalkEverywhere(t, "en", "")
	k.say("new Z-1, Alder Mill, US-VA/alder")
	k.expect("why ground.metal_baseline", "40 ft (12.192 m) here by Alder County: Many old pipes lie under the verges here, and nobody has drawn them.")
	k.expect("why signoff.roles_needed", "foreman, locating hand here by Alder County: The county wants")
	k.expect("why ground.stakes_clear", " here by Virginia: ")
	k.say("español")
	k.expect("por qué ground.metal_baseline", "40 pies (12.192 m) aquí por Condado de Alder: Aquí hay muchos tubos viejos")
	k.say("nueva Z-2, Molino, US-VA")
	k.say("por qué ground.metal_baseline")
	k.lacks(" aquí por ")
}
