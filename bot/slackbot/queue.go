package slackbot

import (
	"container/heap"
	"context"
	"sync"
)

// queues work letters off: one at a time in a conversation, in the order of the
// chat's timestamps, and different conversations side by side.
type queues struct {
	run func(ctx context.Context, l letter)

	mu   sync.Mutex
	by   map[string]*pile
	work sync.WaitGroup
	n    int
}

func newQueues(run func(context.Context, letter)) *queues {
	return &queues{run: run, by: map[string]*pile{}}
}

// add puts a letter into its queue, and starts the queue if it rests.
func (q *queues) add(ctx context.Context, name string, l letter) {
	q.mu.Lock()
	defer q.mu.Unlock()
	p, busy := q.by[name]
	if !busy {
		p = &pile{}
		q.by[name] = p
		q.work.Go(func() { q.drain(ctx, name, p) })
	}
	q.n++
	heap.Push(p, waiting{l, q.n})
}

// drain works a queue off and lets it rest.
func (q *queues) drain(ctx context.Context, name string, p *pile) {
	for {
		q.mu.Lock()
		if p.Len() == 0 || ctx.Err() != nil {
			delete(q.by, name)
			q.mu.Unlock()
			return
		}
		next := heap.Pop(p).(waiting)
		q.mu.Unlock()
		q.run(ctx, next.letter)
	}
}

func (q *queues) wait() { q.work.Wait() }

// waiting is a letter in a queue, with its number of arrival.
type waiting struct {
	letter
	n int
}

// pile is a heap: the oldest timestamp first, then the first to arrive.
type pile []waiting

func (p pile) Len() int { return len(p) }
func (p pile) Less(i, j int) bool {
	if p[i].TS != p[j].TS {
		return p[i].TS < p[j].TS
	}
	return p[i].n < p[j].n
}
func (p pile) Swap(i, j int) { p[i], p[j] = p[j], p[i] }

// Push is of heap.Interface.
func (p *pile) Push(x any) { *p = append(*p, x.(waiting)) }

// Pop is of heap.Interface.
func (p *pile) Pop() any {
	old := *p
	last := old[len(old)-1]
	*p = old[:len(old)-1]
	return last
}
