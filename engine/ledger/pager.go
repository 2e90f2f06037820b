package ledger

import (
	"runtime"
	"sync"

	"golang.org/x/mod/sumdb/tlog"
)

// pageSize keeps each read transaction of a store short.
const pageSize = 1000

// pager walks pages as single rows.
type pager struct {
	fetch func(from int64, limit int) ([]Row, error)
	rows  []Row
	next  int64
	end   bool
	err   error

	decode bool // rows are records: have them ready in parsed
	parsed []parsed
}

// parsed is a row read as a record.
type parsed struct {
	leaf tlog.Hash
	rec  Record
	err  error
}

// peek gives the next row without taking it.
func (p *pager) peek() (Row, bool) {
	for len(p.rows) == 0 && !p.end {
		p.rows, p.err = p.fetch(p.next, pageSize)
		p.end = p.err != nil || len(p.rows) == 0
		// A reader that gives rows it was not asked for would go round for ever.
		for _, r := range p.rows {
			p.end = p.end || r.Seq < p.next
			p.next = max(p.next, r.Seq+1)
		}
		if p.decode {
			p.parsed = parse(p.rows)
		}
	}
	if len(p.rows) == 0 {
		return Row{}, false
	}
	return p.rows[0], true
}

// take goes past the row that peek gave.
func (p *pager) take() (ready parsed) {
	p.rows = p.rows[1:]
	if p.decode {
		ready, p.parsed = p.parsed[0], p.parsed[1:]
	}
	return ready
}

// parse hashes and decodes a page. That is nearly all the work there is, and no
// row needs another, so every core takes its share.
func parse(rows []Row) []parsed {
	out := make([]parsed, len(rows))
	workers := min(runtime.GOMAXPROCS(0), len(rows))
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			var h leafHasher
			for i := w; i < len(rows); i += workers {
				out[i].leaf = h.leaf(rows[i].Data)
				out[i].rec, out[i].err = Decode(rows[i].Data)
			}
		})
	}
	wg.Wait()
	return out
}
