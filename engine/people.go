package engine

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"slices"
	"strings"
	"sync"
	"time"

	"firstrod/engine/ledger"
)

// The roles of the trade that people sign and answer in.
const (
	RoleLocatingHand  = "locating_hand"
	RoleDrillOperator = "drill_operator"
	RoleForeman       = "foreman"
	RoleSafetyManager = "safety_manager"
	RoleCrew          = "crew"
)

// Roles lists the roles, as records spell them.
func Roles() []string {
	return []string{RoleLocatingHand, RoleDrillOperator, RoleForeman, RoleSafetyManager, RoleCrew}
}

// Person is somebody who has been introduced.
type Person struct {
	ID    string
	Name  string
	Roles []string // every role the person has had, the last one last
	Ref   string   // who it is where the person comes from ("chat:team/user"); empty for people known by name alone

	Erased time.Time // when the name was erased; zero for everybody else
}

// Called is the name, or in its place since when there is none: "erased on
// 2031-04-02". It is empty for somebody whose name is not known.
func (p Person) Called() string {
	if !p.Erased.IsZero() {
		return "erased on " + p.Erased.UTC().Format(time.DateOnly)
	}
	return p.Name
}

// Role is the role the person works in now.
func (p Person) Role() string {
	if len(p.Roles) == 0 {
		return ""
	}
	return p.Roles[len(p.Roles)-1]
}

type roster struct {
	mu     sync.RWMutex
	byID   map[string]Person
	byName map[string]string // folded name -> id, of people known by name alone
	byRef  map[string]string // reference -> id
}

func (r *roster) load(ctx context.Context, known Registry) error {
	r.byID, r.byName, r.byRef = map[string]Person{}, map[string]string{}, map[string]string{}
	roles, erased := map[string][]string{}, map[string]time.Time{}
	err := known.People(ctx, func(rec ledger.Record) error {
		switch {
		case rec.Person != nil:
			roles[rec.Person.ID] = rec.Person.Roles
		case rec.Erased != nil:
			erased[rec.Erased.Person] = rec.Logged
		}
		return nil
	})
	if err != nil {
		return err
	}
	for id, had := range roles {
		if at, gone := erased[id]; gone {
			r.put(Person{ID: id, Roles: had, Erased: at})
			continue
		}
		name, _, err := known.Private(ctx, id)
		if err != nil {
			return err
		}
		ref, _, err := known.Private(ctx, refOf(id))
		if err != nil {
			return err
		}
		r.put(Person{ID: id, Name: name, Roles: had, Ref: ref})
	}
	return nil
}

func (r *roster) put(p Person) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.byID[p.ID] = p
	switch {
	case p.Ref != "":
		r.byRef[p.Ref] = p.ID
	case p.Name != "":
		r.byName[foldName(p.Name)] = p.ID
	}
}

// refOf is where a person's reference is kept beside the ledger.
func refOf(id string) string { return id + "/ref" }

// foldName: one person however the name is typed.
func foldName(name string) string {
	return strings.Join(strings.Fields(strings.ToLower(name)), " ")
}

// Person looks somebody up by id.
func (e *Engine) Person(id string) (Person, bool) {
	e.people.mu.RLock()
	defer e.people.mu.RUnlock()
	p, ok := e.people.byID[id]
	return p, ok
}

// Named looks somebody up by name, however it is typed.
func (e *Engine) Named(name string) (Person, bool) {
	e.people.mu.RLock()
	defer e.people.mu.RUnlock()
	p, ok := e.people.byID[e.people.byName[foldName(name)]]
	return p, ok
}

// Introduce makes a person known, or gives a known person another role. The
// name is kept beside the ledger, which holds a reference and a salted
// commitment, so that a name can be erased one day without breaking a proof.
func (e *Engine) Introduce(ctx context.Context, said Said, name, role string) (Person, error) {
	return e.introduce(ctx, said, Person{Name: name}, role)
}

// IntroduceAs is Introduce for somebody who comes with a reference from
// elsewhere, such as a user of a chat: the reference says who it is, whatever
// name is shown at the moment.
func (e *Engine) IntroduceAs(ctx context.Context, said Said, ref, name, role string) (Person, error) {
	return e.introduce(ctx, said, Person{Name: name, Ref: ref}, role)
}

// Referred looks somebody up by reference.
func (e *Engine) Referred(ref string) (Person, bool) {
	e.people.mu.RLock()
	defer e.people.mu.RUnlock()
	p, ok := e.people.byID[e.people.byRef[ref]]
	return p, ok
}

func (e *Engine) introduce(ctx context.Context, said Said, who Person, role string) (Person, error) {
	if !slices.Contains(Roles(), role) {
		return Person{}, failure("role_unknown", "role", role)
	}
	p, known := e.Named(who.Name)
	if who.Ref != "" {
		p, known = e.Referred(who.Ref)
	}
	if known && p.Role() == role {
		return p, nil
	}
	if !known {
		p = Person{ID: "p_" + token(8), Name: strings.Join(strings.Fields(who.Name), " "), Ref: who.Ref}
	}
	p.Roles = append(slices.Clone(p.Roles), role)
	salt := make([]byte, 32)
	rand.Read(salt)
	private := []ledger.Private{{ID: p.ID, Salt: salt, Value: p.Name}}
	if p.Ref != "" {
		private = append(private, ledger.Private{ID: refOf(p.ID), Salt: salt, Value: p.Ref})
	}
	_, err := e.store.Append(ctx, ledger.Entry{
		Record: ledger.Record{
			V: 1, Key: said.Key, Kind: ledger.KindPerson, At: e.clock().UTC(), From: said.From,
			By:     &ledger.Actor{ID: p.ID, Role: role},
			Person: &ledger.Person{ID: p.ID, Roles: p.Roles, Commit: ledger.Commitment(salt, p.Name)},
		},
		Private: private,
	})
	if err != nil {
		return Person{}, err
	}
	e.people.put(p)
	return p, nil
}

func token(n int) string {
	raw := make([]byte, n)
	rand.Read(raw)
	return hex.EncodeToString(raw)
}
