package main

import (
	"time"

	"github.com/spf13/cobra"

	"firstrod/engine"
	"firstrod/engine/ledger"
)

// boardJSON is a board in JSON. Fields are only ever added.
type boardJSON struct {
	Bore     string          `json:"bore"`
	Place    string          `json:"place"`
	Zone     string          `json:"zone"`
	State    string          `json:"state"`
	Verdict  string          `json:"verdict"`
	At       time.Time       `json:"at"`
	Records  int64           `json:"records"`
	Rules    string          `json:"rules"`
	Findings []findingJSON   `json:"findings"`
	Facts    []factJSON      `json:"facts"`
	Signed   []ledger.Actor  `json:"signed"`
	Release  *ledger.Release `json:"release"`
	Void     string          `json:"void,omitempty"`
	Why      string          `json:"why,omitempty"`

	Jurisdiction string      `json:"jurisdiction,omitempty"`
	Packs        []string    `json:"packs"`
	Loosened     []looseJSON `json:"loosened"`
	OlderRules   bool        `json:"older_rules,omitempty"` // its release stands on rules that are in force no more
}

// looseJSON is one limit or check that a local pack makes less strict.
type looseJSON struct {
	Name  string `json:"name"`
	Pack  string `json:"pack"`
	How   string `json:"how,omitempty"` // of a check
	Was   string `json:"was,omitempty"` // of a limit, exact, in base units
	Is    string `json:"is,omitempty"`
	Unit  string `json:"unit,omitempty"`
	Why   string `json:"why"`
	By    string `json:"approved_by"`
	Until string `json:"until"`
}

func looseOf(c *engine.Catalogue) []looseJSON {
	all := []looseJSON{}
	for _, l := range c.Loose {
		j := looseJSON{
			Name: l.Name, Pack: l.Pack, How: l.How, Why: l.Why.In("en"), By: l.By,
			Until: time.Unix(l.Until*86400, 0).UTC().Format(time.DateOnly),
		}
		if l.How == "" {
			j.Was, j.Is, j.Unit = l.Was.Exact(), l.Is.Exact(), l.Is.Kind().Unit()
		}
		all = append(all, j)
	}
	return all
}

type findingJSON struct {
	Check   string   `json:"check"`
	Subject string   `json:"subject,omitempty"`
	Gate    string   `json:"gate"`
	Status  string   `json:"status"`
	Missing []string `json:"missing,omitempty"`
	Note    string   `json:"note,omitempty"`
}

type factJSON struct {
	Key    string   `json:"key"`
	Kind   string   `json:"kind"`
	Typed  string   `json:"typed"`
	Value  string   `json:"value"`
	Unit   string   `json:"unit,omitempty"`
	Items  []string `json:"items,omitempty"`
	By     string   `json:"by"`
	At     string   `json:"at"`
	Record int64    `json:"record"`
}

func (a *app) board() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "board BORE",
		Short: "Show how a bore stands; exit status 3 unless it is ready to drill or closed",
		Args:  cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.within(cmd.Context(), manner{readOnly: true, ask: true}, func(s *site) error {
				verdict, err := a.showBoard(cmd, s, args[0])
				if err != nil {
					return err
				}
				if verdict != engine.Ready && verdict != engine.Finished {
					return errStop
				}
				return nil
			})
		},
	}
	return a.jsonFlag(cmd)
}

func (a *app) showBoard(cmd *cobra.Command, s *site, name string) (engine.Verdict, error) {
	id, err := engine.BoreID(name)
	if err != nil {
		return "", err
	}
	if err := s.engine.Older(s.opening.Publication.Serial); err != nil {
		return "", a.olderRules(err) // what holds by other rules than those in force is no verdict
	}
	if a.json {
		board, err := s.engine.Board(cmd.Context(), id)
		if err != nil {
			return "", err
		}
		return board.Verdict, a.printJSON(boardOf(board.Catalogue(), &board))
	}
	b, err := a.newBot(s, nil)
	if err != nil {
		return "", err
	}
	text, verdict, err := b.Board(cmd.Context(), id)
	if err == nil {
		a.printf("%s\n", text)
	}
	return verdict, err
}

func boardOf(c *engine.Catalogue, b *engine.Board) boardJSON {
	j := boardJSON{
		Bore: b.Bore, Place: b.Place, Zone: b.Zone.String(), State: string(b.State), Verdict: string(b.Verdict),
		At: b.At.UTC(), Records: b.Ver, Rules: b.Rules, Release: b.Release, Void: b.Void, Why: b.Why,
		Findings: []findingJSON{}, Facts: []factJSON{}, Signed: []ledger.Actor{},
		Jurisdiction: b.Jurisdiction, Packs: []string{}, Loosened: looseOf(c), OlderRules: b.Kept,
	}
	for _, layer := range c.Layers {
		j.Packs = append(j.Packs, layer.Code)
	}
	for _, f := range b.Findings {
		row := findingJSON{Check: f.Check, Subject: f.Subject, Status: string(f.Status), Missing: f.Missing, Note: f.Note}
		if ch, ok := c.Check(f.Check); ok {
			row.Gate = string(ch.Gate)
		}
		j.Findings = append(j.Findings, row)
	}
	for _, g := range b.Facts() {
		j.Facts = append(j.Facts, factJSON{
			Key: g.Key, Kind: string(g.Value.Kind()), Typed: g.Typed, Value: g.Value.Exact(), Unit: g.Value.Kind().Unit(),
			Items: g.Value.Items(), By: g.By.ID, At: g.At.UTC().Format(time.RFC3339Nano), Record: g.Seq,
		})
	}
	for _, s := range b.Signs {
		j.Signed = append(j.Signed, s.By)
	}
	return j
}
