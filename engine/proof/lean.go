package proof

import (
	"slices"

	"firstrod/engine/ledger"
)

// lean takes the records that the bore's lean on: everything up to its last one
// that puts rules in force, or introduces somebody who acts in it.
func (m *maker) lean() error {
	people := map[string]bool{}
	for _, r := range m.bore {
		for _, a := range actors(r) {
			people[a.ID] = true
		}
	}
	for _, index := range []string{ledger.IndexRules, ledger.IndexPerson} {
		numbers, err := m.src.Numbers(index, "")
		if err != nil {
			return err
		}
		for _, seq := range numbers {
			if seq > m.last() {
				break
			}
			r, err := m.row(seq)
			if err != nil {
				return err
			}
			if r.Pack != nil && r.By != nil {
				people[r.By.ID] = true // who published the rules
			}
			// That a name was erased says nothing of the bore.
			if r.Person != nil && !people[r.Person.ID] || r.Erased != nil {
				delete(m.rows, seq)
			}
			if r.Pack != nil && slices.ContainsFunc(m.bore, func(b ledger.Record) bool { return b.Rules == r.Rules }) {
				m.blobs[r.Pack.Blob] = nil
			}
		}
	}
	return nil
}

// actors are all people that a record names.
func actors(r ledger.Record) []ledger.Actor {
	var all []ledger.Actor
	if r.By != nil {
		all = append(all, *r.By)
	}
	if r.Release != nil {
		all = append(all, r.Release.Signers...)
	}
	return all
}

// introduced takes the records up to one that introduce a person.
func (m *maker) introduced(id string, through int64) error {
	numbers, err := m.src.Numbers(ledger.IndexPerson, "")
	if err != nil {
		return err
	}
	for _, seq := range numbers {
		if _, have := m.rows[seq]; have || seq > through {
			continue
		}
		r, err := m.row(seq)
		if err != nil {
			return err
		}
		if r.Person == nil || r.Person.ID != id {
			delete(m.rows, seq)
		}
	}
	return nil
}
