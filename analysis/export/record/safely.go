package record

import (
	"fmt"
	"path"
	"runtime"
	"strings"
)

// Safely turns a panic while a file is read into an error: a file that this
// package cannot cope with ends the run in words, not in a stack trace.
func Safely(file string, do func()) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%s: reading it failed by a mistake of this program (%v, at %s); please report it with the file's first rows, and leave the file out until it is mended", file, p, caller())
		}
	}()
	do()
	return nil
}

// caller is where a panic that is being recovered came from.
func caller() string {
	pc := make([]uintptr, 32)
	frames := runtime.CallersFrames(pc[:runtime.Callers(3, pc)])
	for {
		f, more := frames.Next()
		if strings.Contains(f.Function, "weirbook/") {
			return fmt.Sprintf("%s:%d", path.Base(f.File), f.Line)
		}
		if !more {
			return "an unknown place"
		}
	}
}
