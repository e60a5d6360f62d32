package main

import (
	"io"
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// readingBar gives a progress function for long reads. It draws only on a
// terminal and only after a second, so that scripts and short runs see nothing.
func readingBar(w io.Writer) (show func(done, total int64), finish func()) {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil, func() {}
	}
	start := time.Now()
	var bar *progressbar.ProgressBar
	show = func(done, total int64) {
		if bar == nil {
			if time.Since(start) < time.Second {
				return
			}
			bar = progressbar.NewOptions64(total, progressbar.OptionSetWriter(w), progressbar.OptionShowBytes(true),
				progressbar.OptionSetDescription("reading"), progressbar.OptionClearOnFinish())
		}
		_ = bar.Set64(done) // a bar that cannot be drawn is no reason to stop
	}
	return show, func() {
		if bar != nil {
			_ = bar.Finish()
		}
	}
}
