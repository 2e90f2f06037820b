package blockcheck

import (
	"fmt"
	"strings"
	"testing"
)

func section(text string) string {
	return fmt.Sprintf(`{"type":"section","text":{"type":"mrkdwn","text":%q}}`, text)
}

func button(label string) string {
	return fmt.Sprintf(`{"type":"button","action_id":"a","value":"yes","text":{"type":"plain_text","text":%q}}`, label)
}

func actions(elements ...string) string {
	return `{"type":"actions","block_id":"b","elements":[` + strings.Join(elements, ",") + `]}`
}

func message(blocks ...string) Payload {
	return Payload{Message, []byte("[" + strings.Join(blocks, ",") + "]")}
}

func many(n int, f func(int) string) []string {
	var out []string
	for i := range n {
		out = append(out, f(i))
	}
	return out
}

func modal(submit string, blocks ...string) Payload {
	return Payload{Modal, fmt.Appendf(nil, `{"type":"modal","title":{"type":"plain_text","text":"Values"},"submit":{"type":"plain_text","text":%q},"blocks":[%s]}`,
		submit, strings.Join(blocks, ","))}
}

func input(label string) string {
	return fmt.Sprintf(`{"type":"input","block_id":"i","label":{"type":"plain_text","text":%q},"element":{"type":"plain_text_input","action_id":"v"}}`, label)
}

func home(blocks ...string) Payload {
	return Payload{Home, []byte(`{"type":"home","blocks":[` + strings.Join(blocks, ",") + `]}`)}
}

type row struct {
	name string
	p    Payload
	by   string // what must find it: "schema", "type" or "by hand"; empty when it is good
}

func x(n int) string { return strings.Repeat("x", n) }

// At each limit a payload is good and one step beyond it is not. Limits: block
// kit reference of docs.slack.dev and the comments of @slack/types 3.2.0.
func rows() []row {
	option := func(i int) string {
		return fmt.Sprintf(`{"text":{"type":"plain_text","text":"o%d"},"value":"%d"}`, i, i)
	}
	choose := func(n int) string {
		return `{"type":"section","text":{"type":"mrkdwn","text":"t"},"accessory":{"type":"static_select","action_id":"s","options":[` +
			strings.Join(many(n, option), ",") + `]}}`
	}
	context := func(n int) string {
		return `{"type":"context","elements":[` + strings.Join(many(n, func(int) string { return `{"type":"mrkdwn","text":"c"}` }), ",") + `]}`
	}
	header := func(n int) string {
		return fmt.Sprintf(`{"type":"header","text":{"type":"plain_text","text":%q}}`, x(n))
	}
	field := func(n int) string {
		return fmt.Sprintf(`{"type":"section","fields":[{"type":"mrkdwn","text":%q}]}`, x(n))
	}
	numbered := func(i int) string {
		return fmt.Sprintf(`{"type":"button","action_id":"a%d","text":{"type":"plain_text","text":"Yes"}}`, i)
	}
	same := func(int) string { return section("t") }
	return []row{
		{"plain", message(section("Depth reading at 10 ft?"), actions(button("Yes"))), ""},
		{"section at 3000", message(section(x(3000))), ""},
		{"section at 3001", message(section(x(3001))), "schema"},
		{"field at 2000", message(field(2000)), ""},
		{"field at 2001", message(field(2001)), "schema"},
		{"header at 150", message(header(150)), ""},
		{"header at 151", message(header(151)), "schema"},
		{"button at 75", message(actions(button(x(75)))), ""},
		{"button at 76", message(actions(button(x(76)))), "schema"},
		{"25 buttons", message(actions(many(25, numbered)...)), ""},
		{"26 buttons", message(actions(many(26, numbered)...)), "schema"},
		{"10 context elements", message(context(10)), ""},
		{"11 context elements", message(context(11)), "schema"},
		{"100 options", message(choose(100)), ""},
		{"101 options", message(choose(101)), "schema"},
		{"50 blocks", message(many(50, same)...), ""},
		{"51 blocks", message(many(51, same)...), "by hand"},
		{"modal of 100 blocks", modal("Save", many(100, same)...), ""},
		{"modal of 101 blocks", modal("Save", many(101, same)...), "by hand"},
		{"submit of 24", modal(x(24), input("Depth")), ""},
		{"submit of 25", modal(x(25), input("Depth")), "by hand"},
		{"home", home(section("Open bores")), ""},
		{"empty section", message(`{"type":"section"}`), "by hand"},
		{"block id twice", message(actions(button("Yes")), actions(button("No"))), "by hand"},
		{"input without submit", Payload{Modal, []byte(`{"type":"modal","title":{"type":"plain_text","text":"V"},"blocks":[` + input("Depth") + `]}`)}, "by hand"},
		{"unknown key", message(`{"type":"section","text":{"type":"mrkdwn","text":"t"},"colour":"red"}`), "type"},
		{"bad style", message(actions(`{"type":"button","style":"loud","text":{"type":"plain_text","text":"Yes"}}`)), "type"},
		{"markup in a button", message(actions(`{"type":"button","text":{"type":"mrkdwn","text":"*Yes*"}}`)), "type"},
		{"markup in a header", message(`{"type":"header","text":{"type":"mrkdwn","text":"*H*"}}`), "type"},
		{"input without label", modal("Save", `{"type":"input","element":{"type":"plain_text_input","action_id":"v"}}`), "type"},
		{"unknown block", message(`{"type":"banner","text":"t"}`), "type"},
		{"title missing", Payload{Modal, []byte(`{"type":"modal","blocks":[]}`)}, "type"},
		{"modal as home", Payload{Home, []byte(`{"type":"modal","blocks":[]}`)}, "type"},
	}
}

func TestPlantedErrorsAreFound(t *testing.T) {
	var batch []Payload
	table := rows()
	for _, r := range table {
		batch = append(batch, r.p)
	}
	found, limits := judge(t, batch)
	for i, r := range table {
		all := strings.Join(found[i], "\n")
		if r.by == "" && all != "" {
			t.Errorf("%s: %s", r.name, all)
		}
		if r.by != "" && !strings.Contains(all, r.by+": ") {
			t.Errorf("%s: not found by %s, only %q", r.name, r.by, all)
		}
	}
	if limits < 90 {
		t.Errorf("only %d limits read from the types; their wording may have changed", limits)
	}
}

// recorder stands in for a test so that its failure can be seen.
type recorder struct {
	testing.TB
	failed int
}

func (r *recorder) Errorf(string, ...any) { r.failed++ }

func TestValidateFailsTheTest(t *testing.T) {
	good, bad := message(section("t")), message(section(x(3001)))
	r := &recorder{TB: t}
	Validate(r, Message, [][]byte{good.JSON, bad.JSON, good.JSON, bad.JSON})
	if r.failed != 2 {
		t.Errorf("%d failures for two bad payloads", r.failed)
	}
}
