package bot_test

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"firstrod/engine"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// yard is the base with a limit of a state's own, whose releases are checked again
// when it changes.
func yard(t *testing.T, standoff string) *rules.Book {
	t.Helper()
	base, err := fs.Sub(policies.Base, "base")
	if err != nil {
		t.Fatal(err)
	}
	overlay := "title: {en: \"A yard\", es: \"Un patio\"}\nholds: \"US-AZ\"\non_publish: \"recheck\"\nlimits:\n  ground.standoff:\n    value: \"" +
		standoff + "\"\n    reason: {en: \"More metal.\", es: \"Más metal.\"}\n    source: {name: \"made up for a test\", status: \"chosen\"}\n"
	local := fstest.MapFS{"az/overlay.yaml": {Data: []byte(overlay)}}
	book, err := rules.LoadBook(t.Context(), rules.Layers{Base: base, Local: local}, rules.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return book
}

// A room is told once that other rules took the release away: unasked, or else
// before anything that is said in it.
func TestARoomIsToldOnceThatRulesTookTheRelease(t *testing.T) {
	const void = "RELEASE VOID: OR-4 is not ready to drill any more, other rules came into force that did not let it stand: more room.\n  BLOCKED: Nearest metal is at 34 ft"
	for name, told := range map[string]func(k *talk) string{
		"unasked": func(k *talk) string {
			r, err := k.bot.Overtaken(t.Context(), k.room)
			if err != nil {
				t.Fatal(err)
			}
			return r.String()
		},
		"at the next message": func(k *talk) string { return k.say("why") },
	} {
		k := newTalkOf(t, "en", "US-AZ", yard(t, "31 ft"))
		k.all(whole()...)
		if k.last.Verdict != engine.Ready {
			t.Fatalf("not ready:\n%s", k.last.String())
		}
		if r, err := k.bot.Overtaken(t.Context(), k.room); err != nil || len(r.Parts) > 0 {
			t.Errorf("%s: told of nothing: %s %v", name, r.String(), err)
		}
		if err := k.engine.Publish(t.Context(), yard(t, "45 ft"), engine.Publication{By: "Marta Quill", Why: "more room", Serial: 1}); err != nil {
			t.Fatal(err)
		}
		taken, err := k.bot.Taken(t.Context())
		if err != nil || taken["OR-4"] == 0 {
			t.Errorf("%s: taken %v, %v", name, taken, err)
		}
		if got := told(k); !strings.HasPrefix(got, void) {
			t.Errorf("%s:\n%s", name, got)
		}
		if r, err := k.bot.Overtaken(t.Context(), k.room); err != nil || len(r.Parts) > 0 {
			t.Errorf("%s: told twice: %s %v", name, r.String(), err)
		}
		k.expect("status", "RELEASE VOID. Nobody drills")
		k.lacks("RELEASE VOID: ")
	}
}
