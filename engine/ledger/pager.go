package ledger

import (
	"runtime"
	"slices"
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
	}
	if len(p.rows) == 0 {
		return Row{}, false
	}
	return p.rows[0], true
}

// take goes past the row that peek gave.
func (p *pager) take() { p.rows = p.rows[1:] }

// parsed is a row read as a record.
type parsed struct {
	row  Row
	leaf tlog.Hash
	rec  Record
	err  error
	keep buffers
}

// stream reads records ahead: while one page is looked at, the next is read,
// hashed and decoded. That is most of the work there is, and no row needs another.
type stream struct {
	pages chan batch
	free  chan []parsed // pages to be used again
	stop  chan struct{}
	now   batch
	at    int
}

// batch is some records, or why there are no more.
type batch struct {
	rows []parsed
	err  error
}

// ahead starts reading. close ends it.
func ahead(fetch func(from int64, limit int) ([]Row, error)) *stream {
	s := &stream{pages: make(chan batch, 1), free: make(chan []parsed, 3), stop: make(chan struct{})}
	go s.read(fetch)
	return s
}

func (s *stream) close() {
	close(s.stop)
	for range s.pages { // until the reader has left
	}
}

// read is the goroutine that reads ahead.
func (s *stream) read(fetch func(from int64, limit int) ([]Row, error)) {
	defer close(s.pages)
	p := &pager{fetch: fetch}
	for {
		if _, ok := p.peek(); !ok {
			s.send(batch{err: p.err})
			return
		}
		var buf []parsed
		select {
		case buf = <-s.free:
		default:
		}
		rows := p.rows
		p.rows = nil
		if !s.send(batch{rows: parse(buf[:0], rows)}) {
			return
		}
	}
}

func (s *stream) send(p batch) bool {
	select {
	case s.pages <- p:
		return true
	case <-s.stop:
		return false
	}
}

// peek gives the next record without taking it; it stays valid until the record
// after the next was peeked at.
func (s *stream) peek() (*parsed, bool) {
	for s.at == len(s.now.rows) {
		if s.now.rows != nil {
			select {
			case s.free <- s.now.rows:
			default:
			}
		}
		next, ok := <-s.pages
		if !ok {
			s.now.rows, s.at = nil, 0
			return nil, false
		}
		s.now, s.at = next, 0
	}
	return &s.now.rows[s.at], true
}

func (s *stream) take() { s.at++ }

// err is why the records ended, or nil at their true end.
func (s *stream) err() error { return s.now.err }

// parse hashes and decodes a page, on all cores but the one that looks at what
// came before.
func parse(out []parsed, rows []Row) []parsed {
	out = slices.Grow(out, len(rows))[:len(rows)]
	for i, r := range rows {
		out[i].row = r
	}
	workers := max(1, min(runtime.GOMAXPROCS(0)-1, len(rows)))
	if workers == 1 {
		parseEvery(out, 0, 1)
		return out
	}
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() { parseEvery(out, w, workers) })
	}
	wg.Wait()
	return out
}

func parseEvery(out []parsed, from, step int) {
	var h leafHasher
	for i := from; i < len(out); i += step {
		out[i].leaf = h.leaf(out[i].row.Data)
		out[i].err = decodeInto(out[i].row.Data, &out[i].rec, &out[i].keep)
	}
}
