package merge

import (
	"errors"
	"runtime"
	"sync"

	"weirbook/analysis/export/record"
	"weirbook/analysis/export/rows"
)

// Run reads all blocks. A worker that has read its block leaves it to be merged,
// and merges what is due if no other does: there are never more goroutines at
// work than workers, and none waits for a merge but for want of a block.
func (g *Merger) Run(cut *record.Cutter, ws []*rows.Worker) error {
	var (
		reading, merging sync.Mutex
		wg               sync.WaitGroup
		seq, next        int // blocks cut, blocks merged
		busy, over       bool
		bad              error
		due              = map[int]*rows.Block{}
		free             = make(chan *rows.Block, 3*len(ws)+2)
	)
	for range cap(free) {
		free <- &rows.Block{}
	}
	merge := func(b *rows.Block, fault error) (goOn bool) {
		merging.Lock()
		defer merging.Unlock()
		if bad == nil {
			bad = fault
		}
		due[b.Seq] = b
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
			err := record.Safely(g.T.M.Name, func() {
				g.merge(n)
				if g.Read != nil {
					g.Read(len(n.Buf))
				}
			})
			if err == nil {
				err = g.Ctx.Err()
			}
			if err == nil && g.P.Turn > 0 {
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
				b.Reset()
				lockSoon(&reading)
				c, mem, err := cut.Next(b.Mem)
				b.Mem, b.Buf, b.Long = mem, c.Buf, c.Long
				b.Err, b.Seq = err, seq
				if !errors.Is(err, record.ErrAllRead) {
					seq++
				}
				reading.Unlock()
				if errors.Is(err, record.ErrAllRead) {
					return
				}
				if !merge(b, record.Safely(g.T.M.Name, func() { w.Run(b) })) {
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
