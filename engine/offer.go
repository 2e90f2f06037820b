package engine

import "context"

// lookBack is how many earlier bores are looked through for values to offer.
const lookBack = 5

// Offer finds, for asks that are carried over under one word ("gear", "place"),
// the values that an earlier bore had. They are offered, never taken: somebody
// must say yes. Nothing is offered unless one bore has a value for every ask of
// the group that is still missing here.
func (e *Engine) Offer(ctx context.Context, bore, group string) ([]Answer, error) {
	board, err := e.Board(ctx, bore)
	if err != nil {
		return nil, err
	}
	var wanted []*Ask
	for _, a := range board.catalogue.Asks {
		if _, has := board.Fact(a.ID); a.Carry == group && a.Scope == PerBore && !has {
			wanted = append(wanted, a)
		}
	}
	if len(wanted) == 0 {
		return nil, nil
	}
	lines, err := e.store.Bores(ctx, lookBack+1)
	if err != nil {
		return nil, err
	}
	for _, line := range lines {
		if line.Bore == bore {
			continue
		}
		earlier, err := e.read(ctx, line.Bore)
		if err != nil {
			return nil, err
		}
		if answers := carried(earlier, wanted); answers != nil {
			return answers, nil
		}
	}
	return nil, nil
}

func carried(b *Bore, wanted []*Ask) []Answer {
	var all []Answer
	for _, a := range wanted {
		g, ok := b.facts[a.ID]
		if !ok || g.Value.Kind() != a.Kind {
			return nil
		}
		all = append(all, Answer{Key: a.ID, Value: g.Value, From: b.ID})
	}
	return all
}
