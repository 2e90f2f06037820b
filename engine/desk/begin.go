package desk

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"time"

	"firstrod/engine"
)

// Loading is the two ways to make a candidate ready to judge.
type Loading struct {
	Accept func(context.Context, Candidate) (engine.Rulebook, error) // one that is new here: load, check, test and try it
	Load   func(context.Context, Candidate) (engine.Rulebook, error) // one that was accepted before
}

// Opening is the rules that a program begins with, and how it came by them.
type Opening struct {
	Live
	Was    Publication // what was kept before; the zero value where nothing was
	Unused error       // why what the source gives now is not used; nil where it is
	Lost   error       // why what was kept is not used; nil where it is good, or nothing was kept
}

// Begin asks the source, and takes what it gives if that is good and follows what
// was kept; otherwise what was kept, and says why. Where neither can be had nothing
// may be judged, and there is an error.
func Begin(ctx context.Context, source Source, how Loading) (Opening, error) {
	kept, lost := source.Kept(ctx)
	if engine.KindOf(lost) == engine.NotFound {
		return first(ctx, source, how)
	}
	now, err := published(ctx, source)
	if ctx.Err() != nil {
		return Opening{}, ctx.Err() // somebody has stopped the program, which is no answer
	}
	if lost != nil {
		return instead(ctx, source, how, now, lost, err)
	}
	if err == nil && now.Publication.Same(kept.Publication) {
		return again(ctx, source, how, kept, now)
	}
	var book engine.Rulebook
	if err == nil {
		book, err = follow(ctx, source, how, now, kept.Publication)
	}
	if err == nil {
		return Opening{Live: liveOf(book, now), Was: kept.Publication}, nil
	}
	book, bad := how.Load(ctx, kept)
	if bad != nil {
		return Opening{}, neither(bad, err)
	}
	return Opening{Live: liveOf(book, kept), Was: kept.Publication, Unused: err}, nil
}

func liveOf(book engine.Rulebook, c Candidate) Live {
	return Live{Rulebook: book, Publication: c.Publication, RenewBy: c.RenewBy}
}

// published is what the source gives now; what was not published is no answer.
func published(ctx context.Context, source Source) (Candidate, error) {
	c, err := source.Read(ctx)
	if err == nil && !c.Published {
		err = &engine.Error{Kind: engine.Rules, Say: c.Unpublished, Hint: publishHint}
	}
	return c, err
}

// follow accepts a candidate that comes after last, and keeps it.
func follow(ctx context.Context, source Source, how Loading, c Candidate, last Publication) (engine.Rulebook, error) {
	err := c.Publication.Follows(last)
	var book engine.Rulebook
	if err == nil {
		book, err = how.Accept(ctx, c)
	}
	if err != nil {
		say, _ := inWords(err)
		return nil, restated(err, fmt.Sprintf("publication %d from %s is not used: %s", c.Publication.Serial, c.From, say), "tell who publishes the rules there")
	}
	return book, source.Keep(ctx, c)
}

// first begins where nothing was kept.
func first(ctx context.Context, source Source, how Loading) (Opening, error) {
	c, err := published(ctx, source)
	if engine.KindOf(err) == engine.Storage {
		say, _ := inWords(err)
		return Opening{}, &engine.Error{Kind: engine.Storage, Say: say, Err: errors.Unwrap(err),
			Hint: "no rules were kept yet, so nothing can be judged; see to the server or the network"}
	}
	if err != nil {
		return Opening{}, err
	}
	book, err := follow(ctx, source, how, c, Publication{})
	if err != nil {
		return Opening{}, err
	}
	return Opening{Live: liveOf(book, c)}, nil
}

// again begins with what was kept and is what the source gives as well. Its signer
// may have promised anew; an earlier promise does not take the place of a later one.
func again(ctx context.Context, source Source, how Loading, kept, now Candidate) (Opening, error) {
	book, err := how.Load(ctx, kept)
	if err != nil {
		return Opening{}, err
	}
	o := Opening{Live: liveOf(book, kept), Was: kept.Publication}
	if now.RenewBy.After(kept.RenewBy) {
		o.RenewBy, o.Unused = now.RenewBy, source.Keep(ctx, now)
	}
	return o, nil
}

// instead begins with what the source gives where what was kept is no good. What
// was in force before the ledger alone knows then.
func instead(ctx context.Context, source Source, how Loading, now Candidate, lost, err error) (Opening, error) {
	var book engine.Rulebook
	if err == nil {
		book, err = follow(ctx, source, how, now, Publication{})
	}
	if err != nil {
		return Opening{}, neither(lost, err)
	}
	return Opening{Live: liveOf(book, now), Lost: lost}, nil
}

// neither is the end where what was kept is no good and the source does not help.
func neither(kept, now error) error {
	say, hint := inWords(kept)
	more, see := inWords(now)
	return &engine.Error{Kind: engine.KindOf(kept), Say: say + "; and " + more, Hint: cmp.Or(hint, see)}
}

// Words is what a person should know of how the program came by its rules, a
// sentence each; nothing where all is well.
func (o Opening) Words(now time.Time) []string {
	var all []string
	p := o.Publication
	if o.Lost != nil {
		say, _ := inWords(o.Lost)
		all = append(all, fmt.Sprintf("%s; publication %d by %s was fetched and put in its place", say, p.Serial, p.By))
	}
	if o.Unused != nil {
		say, _ := inWords(o.Unused)
		all = append(all, fmt.Sprintf("%s; the kept rules stay in force, publication %d by %s of %s", say, p.Serial, p.By, p.At.UTC().Format("2006-01-02 15:04 UTC")))
	}
	if o.Fresh() {
		all = append(all, inForce(p).Say)
	}
	if o.Overdue(now) {
		say, hint := brokenPromise(p, o.RenewBy)
		all = append(all, say+"; "+hint)
	}
	return all
}

// Fresh says whether other rules came into force than were kept before.
func (o Opening) Fresh() bool { return o.Was.Serial > 0 && !o.Was.Same(o.Publication) }

// Overdue says whether the rules were to be signed anew before now, and were not.
func (o Opening) Overdue(now time.Time) bool { return overdue(o.RenewBy, now) }

// InForce is the alert that they have.
func (o Opening) InForce() Alert { return inForce(o.Publication) }
