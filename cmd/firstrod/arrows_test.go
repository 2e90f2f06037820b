package main

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

type pkg struct {
	ImportPath string
	Doc        string
	Imports    []string
}

func packages(t *testing.T) []pkg {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Doc,Imports", "firstrod/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	var all []pkg
	for dec := json.NewDecoder(bytes.NewReader(out)); dec.More(); {
		var p pkg
		if err := dec.Decode(&p); err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	if len(all) < 10 {
		t.Fatalf("only %d packages", len(all))
	}
	return all
}

// arrows says which packages of this module each package may import, and which
// packages from outside belong to it alone.
func arrows() map[string][]string {
	const m = "firstrod/"
	core := []string{m + "engine", m + "engine/ledger", m + "engine/quantity"}
	return map[string][]string{
		m + "engine/ledger": {}, m + "engine/quantity": {}, m + "engine/depth": {}, m + "policies": {},
		m + "engine":                            {m + "engine/ledger", m + "engine/quantity", m + "engine/depth"},
		m + "engine/rules":                      core,
		m + "engine/boltstore":                  core,
		m + "engine/desk":                       {m + "engine", m + "engine/ledger"},
		m + "engine/backup":                     {m + "engine/ledger"},
		m + "engine/keep":                       {m + "engine", m + "engine/ledger"},
		m + "engine/proof":                      {m + "engine/ledger"},
		m + "engine/witness":                    {m + "engine/ledger"},
		m + "engine/audit":                      core,
		m + "engine/exif":                       {},
		m + "engine/export":                     core,
		m + "engine/picture":                    {m + "engine/depth"},
		m + "engine/paper":                      append([]string{m + "engine/depth", m + "engine/picture"}, core...),
		m + "engine/enginetest":                 core,
		m + "engine/enginetest/crewsim":         {m + "engine/depth"},
		m + "bot":                               append([]string{m + "engine/picture", m + "engine/depth", m + "engine/exif"}, core...),
		m + "bot/term":                          {m + "bot"},
		m + "bot/slackbot":                      append([]string{m + "bot", m + "engine/exif"}, core...),
		m + "bot/slackbot/slackfake":            {},
		m + "bot/slackbot/slackfake/blockcheck": {},
		m + "deploy/records":                    {},
		m + "cmd/firstrod":                      nil, // all
	}
}

func TestImportArrows(t *testing.T) {
	may := arrows()
	for _, p := range packages(t) {
		allowed, known := may[p.ImportPath]
		if !known {
			t.Errorf("%s is not in the plan of the house", p.ImportPath)
		}
		for _, imp := range p.Imports {
			if strings.HasPrefix(imp, "firstrod/") && allowed != nil && !slices.Contains(allowed, imp) {
				t.Errorf("%s must not import %s", p.ImportPath, imp)
			}
		}
	}
}

func TestOnePackageKnowsEachLibrary(t *testing.T) {
	owner := map[string]string{
		"github.com/open-policy-agent/": "firstrod/engine/rules",
		"go.etcd.io/bbolt":              "firstrod/engine/boltstore",
		"github.com/spf13/":             "firstrod/cmd/firstrod",
		"github.com/nicksnyder/go-i18n": "firstrod/bot",
		"gonum.org/v1/plot":             "firstrod/engine/picture",
		"github.com/slack-go/":          "firstrod/bot/slackbot",
		"modernc.org/sqlite":            "firstrod/engine/export",
		"github.com/parquet-go/":        "firstrod/engine/export",
		"codeberg.org/go-pdf/":          "firstrod/engine/paper",
		"codeberg.org/go-fonts/":        "firstrod/engine/paper",
		"rsc.io/qr":                     "firstrod/engine/paper",
	}
	for _, p := range packages(t) {
		for _, imp := range p.Imports {
			for prefix, only := range owner {
				if strings.HasPrefix(imp, prefix) && p.ImportPath != only {
					t.Errorf("%s imports %s, which belongs to %s", p.ImportPath, imp, only)
				}
			}
		}
	}
}

func TestEveryPackageSaysWhatItIs(t *testing.T) {
	for _, p := range packages(t) {
		if len(p.Doc) < 40 {
			t.Errorf("%s has no package comment worth the name", p.ImportPath)
		}
	}
}
