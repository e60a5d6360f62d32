// Command weirbook reads a wastewater plant's tag exports and says whether the
// effluent was disinfected, what it cost in chemical, and which instrument or
// process is at fault when ORP and chlorine residual disagree.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // a Windows laptop has no zone files

	"weirbook/reports"
)

func main() {
	stopOnSignal()
	os.Exit(run(context.Background(), os.Args[1:], os.Stdout, os.Stderr))
}

// stopOnSignal ends the program at once, in whatever it is doing, when it is
// interrupted or told to end. What it had staged is taken away; a report that is
// just being put in place gets there first.
func stopOnSignal() {
	told := make(chan os.Signal, 1)
	signal.Notify(told, os.Interrupt, syscall.SIGTERM)
	go func() {
		s := <-told
		if reports.AbortAll() {
			fmt.Fprintln(os.Stderr, "weirbook: stopped; the report had been written before")
		} else {
			fmt.Fprintln(os.Stderr, "weirbook: stopped; nothing was written")
		}
		code := exitSignal + int(syscall.SIGINT)
		if s == syscall.SIGTERM {
			code = exitSignal + int(syscall.SIGTERM)
		}
		os.Exit(code)
	}()
}
