package export

import (
	"strings"
	"testing"
)

// The characters are those of OWASP's page on CSV injection, from memory; the
// wide forms are what some spreadsheets take for them.
func TestCell(t *testing.T) {
	for in, want := range map[string]string{
		"": "", "5 ft": "5 ft", "=1+1": "'=1+1", "+1+1": "'+1+1", "-1+1": "'-1+1", "@SUM(A1)": "'@SUM(A1)", "\t=1": "'\t=1", "\r=1": "'\r=1", "\n=1": "'\n=1",
		"＝1": "'＝1", "-12": "-12", "+3.5": "+3.5", "-1.5e-7": "-1.5e-7", "-": "'-", "-12 dB": "'-12 dB", "'x": "''x", "-1e": "'-1e", "+1-2": "'+1-2", "-.5": "'-.5",
	} {
		got := Cell(in)
		if got != want || Uncell(got) != in {
			t.Errorf("%q: %q, want %q; back %q", in, got, want, Uncell(got))
		}
	}
}

func FuzzCell(f *testing.F) {
	for _, s := range []string{"=1", "-1", "'=1", "＋1", "\x00=1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := Cell(s)
		if Uncell(got) != s {
			t.Errorf("%q comes back as %q", s, Uncell(got))
		}
		if got != "" && strings.ContainsAny(got[:1], "=@\t\r\n") {
			t.Errorf("%q starts a formula", got)
		}
	})
}
