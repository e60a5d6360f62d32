// Command weirbook reads a wastewater plant's tag exports and says whether the
// effluent was disinfected, what it cost in chemical, and which instrument or
// process is at fault when ORP and chlorine residual disagree.
package main

import (
	"context"
	"os"
	"os/signal"
	_ "time/tzdata" // a Windows laptop has no zone files
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
