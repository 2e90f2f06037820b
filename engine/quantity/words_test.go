package quantity_test

import (
	"slices"
	"strings"
	"testing"

	. "firstrod/engine/quantity"
)

func TestYesNo(t *testing.T) {
	table := []reading{
		{"ok", Ask, "yes", OkUnclear},
		{"10-4", Refuse, "", NotYesNo},
		{"yes sir", Refuse, "", NotYesNo},
		{"yes no", Refuse, "", NotYesNo},
		{"maybe", Refuse, "", NotYesNo},
		{"1", Refuse, "", NotYesNo},
		{"?", Refuse, "", NotYesNo},
		{"roger", Refuse, "", NotYesNo},
	}
	for _, yes := range []string{"yes", "Y", "yeah", "yep.", "si", "sí", "SÍ", "si\u0301", "s", "affirmative", "afirmativo", " yes! "} {
		table = append(table, reading{yes, Exact, "yes", ""})
	}
	for _, no := range []string{"no", "N", "nope", "negative", "negativo", "No."} {
		table = append(table, reading{no, Exact, "no", ""})
	}
	checkReadings(t, Want{Kind: YesNo}, table)
}

func TestChoice(t *testing.T) {
	w := Want{Kind: Choice, Options: []Option{
		{ID: "clay", Words: []string{"arcilla"}},
		{ID: "sand", Words: []string{"arena"}},
		{ID: "sandstone", Words: []string{"arenisca"}},
		{ID: "caliche", Words: []string{"caliche", "peñasco duro"}},
	}}
	checkReadings(t, w, []reading{
		{"Clay", Exact, "clay", ""},
		{"ARCILLA", Exact, "clay", ""},
		{"sand", Exact, "sand", ""}, // the whole word wins over the longer one
		{"sandst", Exact, "sandstone", ""},
		{"penasco duro", Exact, "caliche", ""},
		{"peñ", Exact, "caliche", ""},
		{"san", Refuse, "", ChoiceUnclear},
		{"are", Refuse, "", ChoiceUnclear},
		{"cl", Refuse, "", NoSuchChoice},
		{"rock", Refuse, "", NoSuchChoice},
	})
	if got := Read("san", w).Reason.Args["choices"]; got != "sand, sandstone" {
		t.Errorf("choices it may be: %q", got)
	}
	if got := Read("rock", w).Reason.Args["choices"]; got != "clay, sand, sandstone, caliche" {
		t.Errorf("all choices: %q", got)
	}
}

func TestSerialAndText(t *testing.T) {
	checkReadings(t, Want{Kind: Serial}, []reading{
		{" rx 204-17/b.2 ", Exact, "RX204-17/B.2", ""},
		{"a", Exact, "A", ""},
		{strings.Repeat("9", 40), Exact, strings.Repeat("9", 40), ""},
		{strings.Repeat("9", 41), Refuse, "", SerialLength},
		{"rx#204", Refuse, "", SerialSigns},
		{"rx–204", Refuse, "", SerialSigns},
		{"año1", Refuse, "", SerialSigns},
		{"--", Refuse, "", SerialSigns},
	})
	checkReadings(t, Want{Kind: Text}, []reading{
		{"  Otter Run\n OR-4 ", Exact, "Otter Run OR-4", ""},
		{"10-4", Exact, "10-4", ""},
		{strings.Repeat("ñ", 200), Exact, strings.Repeat("ñ", 200), ""},
		{strings.Repeat("ñ", 201), Refuse, "", TextLength},
		{"a\U000F0000", Refuse, "", Hidden},
		{"a\U0003FFFE", Refuse, "", TextSigns},
	})
}

func TestNames(t *testing.T) {
	var many []string
	for i := range 21 {
		many = append(many, "n"+strings.Repeat("i", i))
	}
	for _, c := range []struct {
		text    string
		outcome Outcome
		items   []string
		code    Code
	}{
		{"Ana, Luis; Bo\nEva", Exact, []string{"Ana", "Luis", "Bo", "Eva"}, ""},
		{"Ana y Luis", Exact, []string{"Ana", "Luis"}, ""},
		{"Ana, Luis, and Bo", Exact, []string{"Ana", "Luis", "Bo"}, ""},
		{"Juan Y Ortiz", Exact, []string{"Juan Y Ortiz"}, ""},
		{"gas main", Exact, []string{"gas main"}, ""},
		{"none", Exact, nil, ""},
		{"No", Exact, nil, ""},
		{"Ninguna.", Exact, nil, ""},
		{"A, B, S", Exact, []string{"A", "B", "S"}, ""},
		{"yes", Refuse, nil, NamesWanted},
		{"sí", Refuse, nil, NamesWanted},
		{"y", Refuse, nil, NamesWanted},
		{"0", Refuse, nil, NamesWanted},
		{"no lines", Refuse, nil, NamesWanted},
		{"gas main, none", Refuse, nil, NamesWanted},
		{"Ana, ana", Refuse, nil, Duplicate},
		{"José, jose", Refuse, nil, Duplicate},
		{"Ana,, Luis", Refuse, nil, ItemMissing},
		{strings.Repeat("n", 61), Refuse, nil, NameLength},
		{strings.Repeat("n", 201), Refuse, nil, NameLength},
		{strings.Join(many[:20], ","), Exact, many[:20], ""},
		{strings.Join(many, ","), Refuse, nil, TooMany},
	} {
		got := Read(c.text, Want{Kind: Names})
		if got.Outcome != c.outcome || !slices.Equal(got.Value.Items(), c.items) || got.Reason.Code != c.code {
			t.Errorf("Read(%q): got %d %v %q", c.text, got.Outcome, got.Value.Items(), got.Reason.Code)
		}
	}
}
