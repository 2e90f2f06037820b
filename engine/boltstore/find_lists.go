package boltstore

import (
	"bytes"
	"math"
	"slices"
	"sort"

	bolt "go.etcd.io/bbolt"

	"firstrod/engine/ledger"
)

// list is some record numbers in order, in the direction of a search.
type list interface {
	// seek gives the first number at n or beyond; ok is false after the last.
	seek(n int64) (at int64, ok bool)
}

// span is all numbers from lo to hi-1.
type span struct {
	lo, hi int64
	newest bool
}

func (s span) seek(n int64) (int64, bool) {
	if s.newest {
		n = min(n, s.hi-1)
		return n, n >= s.lo
	}
	n = max(n, s.lo)
	return n, n < s.hi
}

// posting is the records under one term.
type posting struct {
	c      *bolt.Cursor
	prefix []byte
	newest bool
	at     int64 // where it stands; -1 before the first seek
	end    bool
}

func (p *posting) seek(n int64) (int64, bool) {
	if p.end || p.at >= 0 && (p.newest && p.at <= n || !p.newest && p.at >= n) {
		return p.at, !p.end
	}
	if n < 0 {
		// Before the first record; as a key it would be behind the last.
		p.end = true
		return n, false
	}
	var k []byte
	if p.newest {
		k = seekBack(p.c, append(slices.Clip(p.prefix), number(n)...))
	} else {
		k, _ = p.c.Seek(append(slices.Clip(p.prefix), number(n)...))
	}
	if len(k) != len(p.prefix)+8 || !bytes.HasPrefix(k, p.prefix) {
		p.end = true
		return p.at, false
	}
	p.at = toNumber(k[len(p.prefix):])
	return p.at, true
}

// seekBack goes to the last key that is not beyond one.
func seekBack(c *bolt.Cursor, key []byte) []byte {
	k, _ := c.Seek(key)
	switch {
	case k == nil:
		k, _ = c.Last()
	case !bytes.Equal(k, key):
		k, _ = c.Prev()
	}
	return k
}

// either is the numbers that are in one of some lists.
type either struct {
	lists  []list
	newest bool
}

func (e *either) seek(n int64) (best int64, found bool) {
	for i := 0; i < len(e.lists); {
		at, ok := e.lists[i].seek(n)
		if !ok {
			e.lists = slices.Delete(e.lists, i, i+1)
			continue
		}
		if !found || e.newest && at > best || !e.newest && at < best {
			best, found = at, true
		}
		if at == n {
			break
		}
		i++
	}
	return best, found
}

// versions is the records of one bore. Its versions count from 1 without a gap
// and their numbers rise.
type versions struct {
	b      *bolt.Bucket
	bore   string
	last   int64 // version
	newest bool
	ver    int64 // where it stands; 0 before the first seek
	at     int64 // number of that
}

func newVersions(tx *bolt.Tx, bore string, newest bool) (*versions, error) {
	b, err := bucket(tx, bBore)
	if err != nil {
		return nil, err
	}
	v := &versions{b: b, bore: bore, newest: newest}
	k := seekBack(b.Cursor(), boreKey(bore, math.MaxInt64))
	if n := len(k) - 9; n >= 0 && string(k[:n]) == bore && k[n] == 0 {
		v.last = toNumber(k[n+1:])
	}
	return v, nil
}

func (v *versions) number(ver int64) int64 { return toNumber(v.b.Get(boreKey(v.bore, ver))) }

func (v *versions) seek(n int64) (int64, bool) {
	// Mostly the next one is wanted, right behind the one before.
	if ver := v.ver + 1; !v.newest && v.ver > 0 && v.at < n && ver <= v.last && v.number(ver) >= n {
		v.ver, v.at = ver, v.number(ver)
		return v.at, true
	}
	if ver := v.ver - 1; v.newest && v.at > n && ver >= 1 && v.number(ver) <= n {
		v.ver, v.at = ver, v.number(ver)
		return v.at, true
	}
	ver := int64(sort.Search(int(v.last), func(i int) bool { return v.number(int64(i)+1) >= n })) + 1
	if v.newest && (ver > v.last || v.number(ver) > n) {
		ver--
	}
	v.ver, v.at = ver, v.number(ver)
	return v.at, ver >= 1 && ver <= v.last
}

// clauseList is the records that a clause holds for.
func clauseList(b *bolt.Bucket, c ledger.Clause, newest bool) list {
	one := func(value string) list {
		return &posting{c: b.Cursor(), prefix: termPrefix(c.Field, value), newest: newest, at: -1}
	}
	if c.Accept == nil {
		return one(c.Prefix)
	}
	e := &either{newest: newest}
	for _, value := range values(b, c) {
		e.lists = append(e.lists, one(value))
	}
	return e
}

// values lists the values of a field that a clause accepts, without going
// through the records under each.
func values(b *bolt.Bucket, c ledger.Clause) (out []string) {
	field := append([]byte(c.Field), 0)
	start := append(slices.Clip(field), c.Prefix...)
	cur := b.Cursor()
	for k, _ := cur.Seek(start); bytes.HasPrefix(k, start); {
		_, value, seq := splitTerm(k)
		if seq < 0 {
			k, _ = cur.Next()
			continue
		}
		if c.Accept(value) {
			out = append(out, value)
		}
		// The next value: nothing lies between a zero byte and a one.
		k, _ = cur.Seek(append(append(slices.Clip(field), value...), 1))
	}
	return out
}
