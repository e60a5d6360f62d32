package main

import (
	"io"
	"os"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"
)

// progress tells on a terminal what is under way, from reading to the last chart.
// Nothing is drawn for the first second, nor anywhere but on a terminal, so that
// scripts and short runs see nothing.
type progress struct {
	w     io.Writer // nil: nobody is told
	start time.Time
	mu    sync.Mutex
	bar   *progressbar.ProgressBar
	what  string
}

// progressOf is the progress of a command, where it may speak.
func progressOf(cmd *cobra.Command) *progress {
	return newProgress(cmd.ErrOrStderr(), isQuiet(cmd))
}

func newProgress(w io.Writer, quiet bool) *progress {
	f, ok := asFile(w)
	if !ok || quiet {
		return &progress{}
	}
	p := &progress{start: time.Now()}
	p.w = &late{f, p.start.Add(time.Second)}
	return p
}

// late is a writer that is silent until a moment.
type late struct {
	f    *os.File
	from time.Time
}

func (l *late) Write(p []byte) (int, error) {
	if time.Now().Before(l.from) {
		return len(p), nil
	}
	return l.f.Write(p)
}

// reading tells how many bytes have been read. The bar begins with the reading, so
// that its rate is that of the reading. nil where nobody is told.
func (p *progress) reading() func(done, total int64) {
	if p.w == nil {
		return nil
	}
	return func(done, total int64) {
		p.set("reading", done, total, progressbar.OptionShowBytes(true))
		if done >= total {
			p.stage("judging what was read")
		}
	}
}

// drawing tells how many charts are drawn.
func (p *progress) drawing(done, total int) {
	p.set("drawing charts", int64(done), int64(total), progressbar.OptionShowCount())
	if done >= total {
		p.stage("writing")
	}
}

// stage names what takes time and cannot be counted.
func (p *progress) stage(what string) { p.set(what, 0, -1) }

func (p *progress) set(what string, done, total int64, more ...progressbar.Option) {
	if p.w == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.bar == nil || p.what != what {
		p.clear()
		p.what = what
		p.bar = progressbar.NewOptions64(total, append(more, progressbar.OptionSetWriter(p.w), progressbar.OptionSetDescription(what), progressbar.OptionClearOnFinish())...)
	}
	_ = p.bar.Set64(done) // a bar that cannot be drawn is no reason to stop
}

func (p *progress) clear() {
	if p.bar != nil {
		_ = p.bar.Clear()
		_ = p.bar.Finish()
		p.bar = nil
	}
}

// finish clears the line.
func (p *progress) finish() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.clear()
}
