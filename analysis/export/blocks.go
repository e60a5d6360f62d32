package export

import (
	"errors"
	"runtime"
	"sync"
)

// run reads all blocks. A worker that has read its block leaves it to be merged,
// and merges what is due if no other does: there are never more goroutines at
// work than workers, and none waits for a merge but for want of a block.
func (g *merger) run(cut *cutter, ws []*worker) error {
	var (
		reading, merging sync.Mutex
		wg               sync.WaitGroup
		seq, next        int // blocks cut, blocks merged
		busy, over       bool
		bad              error
		due              = map[int]*block{}
		free             = make(chan *block, 3*len(ws)+2)
	)
	for range cap(free) {
		free <- &block{}
	}
	merge := func(b *block, fault error) (goOn bool) {
		merging.Lock()
		defer merging.Unlock()
		if bad == nil {
			bad = fault
		}
		due[b.seq] = b
		if busy {
			return bad == nil
		}
		busy = true
		for bad == nil {
			n, ok := due[next]
			if !ok {
				break
			}
			delete(due, next)
			next++
			merging.Unlock()
			err := safely(g.t.m.name, func() {
				g.merge(n)
				if g.read != nil {
					g.read(len(n.buf))
				}
			})
			if err == nil {
				err = g.ctx.Err()
			}
			if err == nil && g.p.turn > 0 {
				err = errTurn
			}
			free <- n
			merging.Lock()
			if bad == nil {
				bad = err
			}
		}
		busy = false
		if bad != nil && !over {
			over = true
			close(free) // no worker takes another
		}
		return bad == nil
	}
	for _, w := range ws {
		wg.Go(func() {
			for b := range free {
				b.reset()
				lockSoon(&reading)
				c, mem, err := cut.next(b.mem)
				b.mem, b.buf, b.long = mem, c.buf, c.long
				b.err, b.seq = err, seq
				if !errors.Is(err, errAllRead) {
					seq++
				}
				reading.Unlock()
				if errors.Is(err, errAllRead) {
					return
				}
				if !merge(b, safely(g.t.m.name, func() { w.run(b) })) {
					return
				}
			}
		})
	}
	wg.Wait()
	if errors.Is(bad, errTurn) {
		return nil
	}
	return bad
}

var errTurn = errors.New("another table begins")

// lockSoon locks what is held for some twenty microseconds at a time. Going to
// sleep and being woken takes longer than that, and on a virtual machine far
// longer.
func lockSoon(m *sync.Mutex) {
	for range 1000 {
		if m.TryLock() {
			return
		}
		runtime.Gosched()
	}
	m.Lock()
}
