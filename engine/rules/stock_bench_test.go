package rules

import (
	"bytes"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firstrod/engine"
)

// What one answer touches as a rule (three checks), and the whole form of a bore
// with two frequencies and one crossing, embedded and through the stock engine's
// server over loopback, in one run:
//
//	GOBIN=/tmp/bin go install github.com/open-policy-agent/opa@v1.22.2
//	FIRSTROD_OPA=/tmp/bin/opa go test ./engine/rules -bench 'Stock' -run XXX
//
// The server gets the requests that it cannot do without: one for each check of
// a turn, and for a form one for each frequency, whose answer has all other checks
// in it too. Asked for is three times as fast.
func BenchmarkStockServer(b *testing.B) {
	s := load(b, base(b))
	url := stockServer(b, "../../policies/base")
	form := wholeForm(b, s)
	client := &http.Client{}
	turn := []string{"ground.metal_baseline", "verification.near_mark", "verification.straight"}
	b.Run("turn/server", func(b *testing.B) {
		for b.Loop() {
			for _, id := range turn {
				ask(b, client, url+"/"+strings.ReplaceAll(id, ".", "/"), form)
			}
		}
	})
	b.Run("turn/embedded", func(b *testing.B) { benchmark(b, s, turn...) })
	b.Run("form/server", func(b *testing.B) {
		for b.Loop() {
			for range 2 {
				ask(b, client, url, form)
			}
		}
	})
	b.Run("form/embedded", func(b *testing.B) { benchmark(b, s, wholeBore(s)...) })
}

// wholeBore is every check, those for each frequency twice.
func wholeBore(s *Set) []string {
	var ids []string
	for _, c := range s.Catalogue().Checks {
		ids = append(ids, c.ID)
		if c.Each == engine.PerFrequency {
			ids = append(ids, c.ID)
		}
	}
	return ids
}

// stockServer starts the stock engine on a pack and gives its address for checks.
func stockServer(b *testing.B, pack string) string {
	exe := os.Getenv("FIRSTROD_OPA")
	if exe == "" {
		b.Skip("FIRSTROD_OPA names no stock engine")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	addr := l.Addr().String()
	l.Close()
	args := []string{"run", "--server", "--log-level", "error", "--disable-telemetry", "--addr", addr, filepath.Join(pack, "params.json")}
	files, err := filepath.Glob(filepath.Join(pack, "*", "*.rego"))
	if err != nil {
		b.Fatal(err)
	}
	for _, f := range files {
		if !strings.HasSuffix(f, testSuffix+".rego") {
			args = append(args, f)
		}
	}
	cmd := exec.Command(exe, args...)
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	for range 100 {
		if r, err := http.Get("http://" + addr + "/health"); err == nil {
			r.Body.Close()
			return "http://" + addr + "/v1/data/checks/base"
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.Fatal("the server does not answer")
	return ""
}

// wholeForm is what every check reads, as one input document.
func wholeForm(b *testing.B, s *Set) []byte {
	input := map[string]any{}
	for _, u := range s.units {
		for _, slot := range u.slots {
			v, _, err := madeUp{u, 2}.Value(slot.name)
			if err != nil {
				b.Fatal(err)
			}
			nest(input, strings.Split(slot.name, "."), v)
		}
	}
	raw, err := json.Marshal(map[string]any{"input": input})
	if err != nil {
		b.Fatal(err)
	}
	return raw
}

func nest(doc map[string]any, path []string, v any) {
	for _, p := range path[:len(path)-1] {
		if doc[p] == nil {
			doc[p] = map[string]any{}
		}
		doc = doc[p].(map[string]any)
	}
	doc[path[len(path)-1]] = v
}

// ask posts a form and wants an answer.
func ask(b *testing.B, client *http.Client, url string, form []byte) {
	r, err := client.Post(url, "application/json", bytes.NewReader(form))
	if err != nil {
		b.Fatal(err)
	}
	defer r.Body.Close()
	raw, err := io.ReadAll(r.Body)
	if err != nil {
		b.Fatal(err)
	}
	var answer struct {
		Result map[string]any `json:"result"`
	}
	if err := json.Unmarshal(raw, &answer); err != nil || answer.Result == nil {
		b.Fatalf("%v: %.200s", err, raw)
	}
}
