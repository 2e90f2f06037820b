package witness

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/mod/sumdb/note"
)

// Policy says whose signatures make a checkpoint good (c2sp.org/tlog-policy).
type Policy struct {
	logs    []note.Verifier
	members map[string]member
	quorum  string // a name, or none
}

// member is a witness or a group.
type member struct {
	key  *Key
	need int      // of a group
	of   []string // of a group
}

const (
	none       = "none"
	maxPolicy  = 256 << 10
	maxMembers = 256
)

// ErrPolicy is returned for a file that is no policy.
var ErrPolicy = errors.New("not a policy")

// ParsePolicy reads a policy file.
func ParsePolicy(file []byte) (*Policy, error) {
	if len(file) > maxPolicy {
		return nil, fmt.Errorf("%w: it is too long", ErrPolicy)
	}
	p := &policyReader{p: &Policy{members: map[string]member{}}, keys: map[string]bool{}, logs: map[string]bool{}}
	for i, c := range file {
		if c < 0x20 && c != '\t' && c != '\n' || c == 0x7f {
			return nil, fmt.Errorf("%w: byte %d is no text", ErrPolicy, i)
		}
	}
	if len(file) > 0 && file[len(file)-1] != '\n' {
		return nil, fmt.Errorf("%w: its last line has no end", ErrPolicy)
	}
	n := 0
	for line := range bytes.Lines(file) {
		n++
		words := strings.FieldsFunc(string(line), func(r rune) bool { return r == ' ' || r == '\t' || r == '\n' })
		if len(words) == 0 || words[0][0] == '#' {
			continue
		}
		if err := p.line(words[0], words[1:]); err != nil {
			return nil, fmt.Errorf("%w: line %d: %w", ErrPolicy, n, err)
		}
	}
	if p.p.quorum == "" {
		return nil, fmt.Errorf("%w: it names no quorum", ErrPolicy)
	}
	return p.p, nil
}

type policyReader struct {
	p    *Policy
	keys map[string]bool // public keys of witnesses so far
	logs map[string]bool // and of logs
}

func (p *policyReader) line(word string, args []string) error {
	switch word {
	case "log":
		return p.log(args)
	case "witness":
		return p.witness(args)
	case "group":
		return p.group(args)
	case "quorum":
		return p.quorum(args)
	}
	return fmt.Errorf("there is no %q in a policy", word)
}

func (p *policyReader) log(args []string) error {
	if len(args) != 1 && len(args) != 2 {
		return errors.New("a log has a key and maybe a URL")
	}
	v, err := note.NewVerifier(args[0])
	if err != nil {
		return errors.New("the log's key cannot be read")
	}
	pub := strings.SplitN(args[0], "+", 3)[2]
	if p.logs[pub] || len(p.p.logs) >= maxMembers {
		return errors.New("the log is there twice, or there are too many")
	}
	p.logs[pub] = true
	p.p.logs = append(p.p.logs, v)
	return nil
}

func (p *policyReader) witness(args []string) error {
	if len(args) != 2 && len(args) != 3 {
		return errors.New("a witness has a name, a key and maybe a URL")
	}
	k, err := ParseKey(args[1])
	if err != nil {
		return errors.New("the witness's key cannot be read, or is not one for cosignatures")
	}
	if p.keys[string(k.pub)] {
		return errors.New("the witness's key is there twice")
	}
	p.keys[string(k.pub)] = true
	return p.name(args[0], member{key: &k})
}

// name gives a member its name.
func (p *policyReader) name(name string, m member) error {
	_, taken := p.p.members[name]
	switch {
	case taken || name == none:
		return fmt.Errorf("the name %q is taken", name)
	case len(p.p.members) >= maxMembers:
		return errors.New("there are too many witnesses and groups")
	}
	p.p.members[name] = m
	return nil
}

func (p *policyReader) group(args []string) error {
	if len(args) < 3 {
		return errors.New("a group has a name, a count and members")
	}
	g := member{of: args[2:]}
	switch args[1] {
	case "any":
		g.need = 1
	case "all":
		g.need = len(g.of)
	default:
		n, err := strconv.Atoi(args[1])
		if err != nil || strconv.Itoa(n) != args[1] || n < 1 || n > len(g.of) {
			return fmt.Errorf("%q of %d is no count", args[1], len(g.of))
		}
		g.need = n
	}
	for _, name := range g.of {
		if _, ok := p.p.members[name]; !ok {
			return fmt.Errorf("there is no %q before this line", name)
		}
		if p.grouped(name) {
			return fmt.Errorf("%q is in a group already", name)
		}
	}
	if len(slices.Compact(slices.Sorted(slices.Values(g.of)))) != len(g.of) {
		return errors.New("a member is there twice")
	}
	return p.name(args[0], g)
}

// grouped says whether a name is a member of a group so far: each may be of one only.
func (p *policyReader) grouped(name string) bool {
	for _, m := range p.p.members {
		if slices.Contains(m.of, name) {
			return true
		}
	}
	return false
}

func (p *policyReader) quorum(args []string) error {
	if len(args) != 1 || p.p.quorum != "" {
		return errors.New("there is one quorum, and it is one name")
	}
	if _, ok := p.p.members[args[0]]; !ok && args[0] != none {
		return fmt.Errorf("there is no %q before this line", args[0])
	}
	p.p.quorum = args[0]
	return nil
}

// Check says who cosigned a checkpoint, a signed note, in words; "" where the policy
// wants nobody to. An error is a sentence about what is wanting: it is signed by no
// log of the policy, or by too few witnesses. A signature that is wrong is worse than
// none.
func (p *Policy) Check(msg []byte) (who string, err error) {
	keys := slices.Clone(p.logs)
	for _, m := range p.members {
		if m.key != nil {
			keys = append(keys, *m.key)
		}
	}
	c, _, sigs, err := open(msg, keys...)
	if _, bad := errors.AsType[*note.InvalidSignatureError](err); bad {
		return "", errors.New("one of the signatures under the checkpoint is wrong")
	}
	if _, unknown := errors.AsType[*note.UnverifiedNoteError](err); unknown {
		return "", errors.New("nobody that the policy names has signed the checkpoint")
	}
	if err != nil {
		return "", errNote
	}
	if len(p.logs) > 0 && !p.logged(c.Origin, sigs) {
		return "", errors.New("no log of the policy has signed the checkpoint")
	}
	if p.quorum == none {
		return "", nil
	}
	seen := map[string]note.Signature{}
	for name, m := range p.members {
		for _, s := range sigs {
			if m.key != nil && s.Name == m.key.name && s.Hash == m.key.id {
				seen[name] = s
			}
		}
	}
	if !p.met(p.quorum, seen) {
		return "", fmt.Errorf("too few have cosigned the checkpoint: %d of the policy's witnesses, %q is not met", len(seen), p.quorum)
	}
	return sayWho(seen), nil
}

// logged says whether a log of the policy, by the name in the checkpoint, signed.
func (p *Policy) logged(origin string, sigs []note.Signature) bool {
	for _, v := range p.logs {
		for _, s := range sigs {
			if v.Name() == origin && s.Name == origin && s.Hash == v.KeyHash() {
				return true
			}
		}
	}
	return false
}

// met says whether a witness or group has witnessed.
func (p *Policy) met(name string, seen map[string]note.Signature) bool {
	m := p.members[name]
	if m.key != nil {
		_, ok := seen[name]
		return ok
	}
	n := 0
	for _, of := range m.of {
		if p.met(of, seen) {
			n++
		}
	}
	return n >= m.need
}

func sayWho(seen map[string]note.Signature) string {
	var all []string
	for name, s := range seen {
		all = append(all, name+" at "+timeOf(s).Format("2006-01-02 15:04:05Z"))
	}
	slices.Sort(all)
	return strings.Join(all, ", ")
}
