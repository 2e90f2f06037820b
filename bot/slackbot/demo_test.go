package slackbot

import (
	"strings"
	"testing"

	"firstrod/bot/slackbot/slackfake/blockcheck"
)

func TestTheJobInAThread(t *testing.T) {
	x := newSite(t, loadRules(t), newFake(t), nil)
	thread, last := x.open()
	for _, l := range crew() {
		last = x.say(thread, last, l)
	}
	x.still()
	text := x.transcript("OR-4")
	if !strings.Contains(text, "LISTA PARA PERFORAR") {
		t.Errorf("no release:\n%s", text)
	}
	blockcheck.Validate(t, blockcheck.Message, x.fake.Emitted("message"))
	x.halt()
	verify(t, x.dir)
}
