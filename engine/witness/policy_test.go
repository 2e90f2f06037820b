package witness

import (
	"fmt"
	"strings"
	"testing"
	"time"

	fwitness "github.com/transparency-dev/formats/witness"
	"pgregory.net/rapid"
)

// panel is five witnesses and a log.
type panel struct {
	log  *log
	who  []Cosigner
	keys []string
}

func newPanel(t testing.TB) *panel {
	p := &panel{log: newLog(t, 1).grow("a", "b", "c")}
	for i := range byte(5) {
		c, _, public := cosigner(t, 10+i, fmt.Sprintf("w%d.example/w", i))
		p.who, p.keys = append(p.who, c), append(p.keys, public)
	}
	return p
}

// file is a policy with the log, all witnesses, and more lines.
func (p *panel) file(lines ...string) []byte {
	out := "log " + p.log.public + "\n"
	for i, k := range p.keys {
		out += fmt.Sprintf("witness W%d %s https://w%d.example/\n", i, k, i)
	}
	return []byte(out + strings.Join(lines, "\n") + "\n")
}

// signed is the checkpoint with the cosignatures of some.
func (p *panel) signed(who ...int) []byte {
	msg := p.log.at(3)
	text, _ := textOf(msg)
	for _, i := range who {
		msg = Merge(msg, []string{p.who[i].line([]byte(text), now)})
	}
	return msg
}

func TestPolicy(t *testing.T) {
	p := newPanel(t)
	two := []string{"group two 2 W0 W1 W2", "quorum two"}
	nested := []string{"group X 2 W0 W1 W2", "group Y any W3 W4", "group both all X Y", "quorum both"}
	for _, tt := range []struct {
		name string
		file []string
		who  []int
		ok   bool
	}{
		{"one of one", []string{"quorum W3"}, []int{3}, true},
		{"another one", []string{"quorum W3"}, []int{2}, false},
		{"two of three", two, []int{0, 2}, true},
		{"one of three", two, []int{1}, false},
		{"one of three and a stranger", two, []int{1, 4}, false},
		{"nested", nested, []int{0, 1, 4}, true},
		{"nested, one side", nested, []int{0, 1, 2}, false},
		{"nested, too few", nested, []int{0, 3, 4}, false},
		{"comments, tabs and blanks", []string{"", "  # quorum none", "\tgroup\ta  all W0 \t W1", " quorum a\t"}, []int{0, 1}, true},
		{"nobody has to", []string{"quorum none"}, nil, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			policy, err := ParsePolicy(p.file(tt.file...))
			if err != nil {
				t.Fatal(err)
			}
			who, err := policy.Check(p.signed(tt.who...))
			if (err == nil) != tt.ok {
				t.Errorf("%q, %v", who, err)
			}
			if err == nil && len(tt.who) > 0 && !strings.Contains(who, "at 2026-03-02 07:00:00Z") {
				t.Errorf("%q", who)
			}
		})
	}
}

func TestPolicyChecksSignatures(t *testing.T) {
	p := newPanel(t)
	policy, err := ParsePolicy(p.file("quorum W0"))
	if err != nil {
		t.Fatal(err)
	}
	good := p.signed(0)
	later := p.who[0]
	foreign, _, _ := cosigner(t, 30, "foreign.example/w")
	text, _ := textOf(good)
	otherText := strings.Replace(text, "\n3\n", "\n4\n", 1)
	stranger := newLog(t, 3).grow("a", "b", "c")
	alone, _ := textOf(stranger.at(3))
	bare, err := ParsePolicy([]byte("witness W0 " + p.keys[0] + "\nquorum W0\n"))
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		policy *Policy
		msg    []byte
		ok     bool
	}{
		"good":                            {policy, good, true},
		"cosignature over something else": {policy, Merge(p.log.at(3), []string{later.line([]byte(otherText), now)}), false},
		"not signed by the log":           {policy, Merge([]byte(text+"\n"), []string{later.line([]byte(text), now)}), false},
		"signed by another log":           {policy, Merge(stranger.at(3), []string{later.line([]byte(alone), now)}), false},
		"the log is known otherwise":      {bare, good, true},
		"nothing":                         {policy, nil, false},
		"no note":                         {policy, []byte("hello\n"), false},
		"far too long":                    {policy, append([]byte(strings.Repeat("x", maxNote)), good...), false},
		"with a stranger's line":          {policy, Merge(good, []string{foreign.line([]byte("x\n"), now)}), true},
		"with a wrong one of a witness":   {policy, Merge(good, []string{p.who[4].line([]byte("x\n"), now)}), false},
	} {
		if _, err := c.policy.Check(c.msg); (err == nil) != c.ok {
			t.Errorf("%s: %v", name, err)
		}
	}
	if who, _ := policy.Check(Merge(good, []string{later.line([]byte(text), now.Add(time.Hour))})); !strings.Contains(who, "08:00:00Z") {
		t.Errorf("the later of two lines of one key counts: %q", who)
	}
}

func TestPolicyRefuses(t *testing.T) {
	p := newPanel(t)
	w := func(i int) string { return "witness W " + p.keys[i] }
	for name, file := range map[string]string{
		"nothing": "", "no quorum": w(0) + "\n", "two quorums": w(0) + "\nquorum W\nquorum W\n", "quorum of nobody": "quorum W\n", "no line end": "quorum none",
		"quorum before": "quorum W\n" + w(0) + "\n", "group before": "group G any W\n" + w(0) + "\nquorum G\n", "a word": "hello\nquorum none\n",
		"name twice": w(0) + "\n" + w(1) + "\nquorum W\n", "key twice": w(0) + "\nwitness V " + p.keys[0] + "\nquorum W\n", "named none": "witness none " + p.keys[0] + "\nquorum none\n",
		"log's key for a witness": "witness W " + p.log.public + "\nquorum W\n", "witness's key for a log": "log " + p.keys[0] + "\nquorum none\n",
		"log twice": "log " + p.log.public + "\nlog " + p.log.public + "\nquorum none\n", "group of nobody": "group G any\nquorum G\n",
		"zero of one": w(0) + "\ngroup G 0 W\nquorum G\n", "two of one": w(0) + "\ngroup G 2 W\nquorum G\n", "01 of one": w(0) + "\ngroup G 01 W\nquorum G\n",
		"-1 of one": w(0) + "\ngroup G -1 W\nquorum G\n", "member twice": w(0) + "\ngroup G 1 W W\nquorum G\n", "in two groups": w(0) + "\ngroup G 1 W\ngroup H 1 W\nquorum H\n",
		"itself": w(0) + "\ngroup G 1 G\nquorum G\n", "control character": "quorum none\r\n", "carriage": "# \x00\nquorum none\n", "four words": w(0) + " a b\nquorum W\n",
		"far too long": strings.Repeat("#", maxPolicy) + "\nquorum none\n", "quorum with more": w(0) + "\nquorum W W\n", "none in a group": "group G any none\nquorum G\n",
	} {
		if _, err := ParsePolicy([]byte(file)); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}

// TestPolicyOutside: another implementation of policies says the same of random ones
// and random sets of cosigners. (It wants a URL for each witness, and does not look at
// the log.)
func TestPolicyOutside(t *testing.T) {
	p := newPanel(t)
	rapid.Check(t, func(t *rapid.T) {
		var lines []string
		left := []string{"W0", "W1", "W2", "W3", "W4"}
		for g := 0; len(left) > 1; g++ {
			n := rapid.IntRange(1, len(left)).Draw(t, "members")
			need := rapid.SampledFrom([]string{"any", "all", fmt.Sprint(rapid.IntRange(1, n).Draw(t, "need"))}).Draw(t, "count")
			name := fmt.Sprintf("G%d", g)
			lines = append(lines, fmt.Sprintf("group %s %s %s", name, need, strings.Join(left[:n], " ")))
			left = append(left[n:], name)
			if g > 4 {
				break
			}
		}
		lines = append(lines, "quorum "+left[len(left)-1])
		file := p.file(lines...)
		ours, err := ParsePolicy(file)
		theirs, err2 := fwitness.ParsePolicy(file)
		if err != nil || err2 != nil {
			t.Fatalf("%v, there %v\n%s", err, err2, file)
		}
		var who []int
		for i := range p.who {
			if rapid.Bool().Draw(t, "cosigned") {
				who = append(who, i)
			}
		}
		msg := p.signed(who...)
		_, err = ours.Check(msg)
		if ok := theirs.Satisfied(msg); ok != (err == nil) {
			t.Fatalf("%v of %s\nhere %v, there %v", who, file, err, ok)
		}
	})
}
