package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"weirbook/analysis/export"
)

// Exit statuses, as the README lists them.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
	exitFound  = 3   // done, and something is at or above --fail-on
	exitUnread = 4   // done, and not every export could be read whole
	exitSignal = 128 // and the signal's number: stopped from outside
)

// usageError is a command line that cannot be understood.
type usageError struct{ error }

// foundError ends a run that worked, and found what the caller wanted to hear of.
type foundError struct{ count int }

func (e foundError) Error() string {
	if e.count == 1 {
		return "1 finding at or above --fail-on"
	}
	return fmt.Sprintf("%d findings at or above --fail-on", e.count)
}

// unreadError ends a run that worked without some of what it was to read.
type unreadError []export.Message

func (e unreadError) Error() string {
	if len(e) == 1 {
		return "1 export was not read whole; what was read is in the report. --strict stops there instead"
	}
	return fmt.Sprintf("%d exports were not read whole; what was read is in the report. --strict stops there instead", len(e))
}

// run executes one command line and gives the exit status.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	root := newRoot()
	root.SetArgs(args)
	stdout, stderr = onTerminal(stdout), onTerminal(stderr)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	var usage usageError
	var found foundError
	var differs differsError
	var unread unreadError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &differs), errors.As(err, &found):
		fmt.Fprintln(stderr, "weirbook:", err)
		return exitFound
	case errors.As(err, &unread):
		for _, m := range unread {
			fmt.Fprintf(stderr, "weirbook: %s: %s\n", m.File, m.Text)
		}
		fmt.Fprintln(stderr, "weirbook:", err)
		return exitUnread
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(stderr, "weirbook: stopped; nothing was written")
		return exitFailed
	case errors.As(err, &usage):
		fmt.Fprintln(stderr, "weirbook:", err)
		fmt.Fprintf(stderr, "Run %q for how it goes.\n", strings.TrimSpace("weirbook help "+asked(root, args)))
		return exitUsage
	}
	for _, line := range strings.Split(err.Error(), "\n") {
		if strings.HasPrefix(line, " ") {
			fmt.Fprintln(stderr, line) // a marked line of a file
			continue
		}
		fmt.Fprintln(stderr, "weirbook:", line)
	}
	return exitFailed
}

// asked is the command that the arguments name, as in "calc pounds".
func asked(root *cobra.Command, args []string) string {
	cmd, _, err := root.Find(args)
	if err != nil || cmd == root {
		return ""
	}
	return strings.TrimPrefix(cmd.CommandPath(), root.Name()+" ")
}

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "weirbook",
		Short: "Disinfection, loads and discharge figures from a plant's tag exports",
		Long: `Weirbook reads time-stamped tag exports of a wastewater plant (CSV), screens and
aligns them, derives hourly loadings and chlorine-contact CT, says which
instrument or process is at fault when ORP and chlorine residual disagree, and
writes charts, a report and the monthly discharge summary.

Exit status: 0 done; 1 failed; 2 wrong usage; 3 done, and something is at or above
--fail-on; 4 done, and not every export could be read whole.

It advises. The permit, the plant's own procedures and its licensed operators decide.`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Version:       version(),
		// An unknown command arrives here as an argument.
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return unknownCommand(cmd, args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetFlagErrorFunc(unknownFlag)
	root.PersistentFlags().BoolP("quiet", "q", false, "say nothing but what went wrong: no progress, no summary")
	root.PersistentPreRun = func(cmd *cobra.Command, _ []string) {
		if isQuiet(cmd) && cmd.Flags().Lookup("out") != nil { // what a command leaves in a folder needs no words
			root.SetOut(io.Discard)
		}
	}
	root.AddCommand(newDemoCmd(), newDraftCmd(), newAskCmd(), newCheckCmd(), newRunCmd(), newUpsetCmd(), newMonthCmd(), newReviewCmd(), newCalcCmd(), newExplainCmd(), newVerifyCmd(), newVersionCmd())
	complete(root)
	return root
}

// isQuiet says whether --quiet was given.
func isQuiet(cmd *cobra.Command) bool {
	quiet, err := cmd.Flags().GetBool("quiet")
	return err == nil && quiet
}

// atLeast asks for n arguments or more and says which in the reader's words.
func atLeast(n int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) < n {
			return usageError{fmt.Errorf("%s: name %s; %s", cmd.Name(), what, cmd.UseLine())}
		}
		return nil
	}
}

// noArgs refuses arguments.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usageError{fmt.Errorf("%s takes no argument %q; %s", cmd.Name(), args[0], cmd.UseLine())}
	}
	return nil
}

// release is set by the build of a release (.ci/release).
var release string

// version is the release's, or the module's where the binary carries one.
func version() string {
	if release != "" {
		return release
	}
	if b, ok := debug.ReadBuildInfo(); ok && b.Main.Version != "" && b.Main.Version != "(devel)" {
		return b.Main.Version
	}
	return "development"
}
